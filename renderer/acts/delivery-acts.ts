// Runs a delivery in the background; its outcome is shown until it is dismissed.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { DeliveryOutcome } from '../../app/contract/delivery/delivery-outcome.ts'
import type { InputOf } from '../../app/contract/wire/commands.ts'
import { nameOfBackgroundTask } from '../../app/words/background-tasks.ts'
import { client } from '../state/connection.ts'
import { runBackgroundTask } from '../state/notices.ts'

const store = createStore<{ readonly outcome: DeliveryOutcome | null }>()(() => ({ outcome: null }))

/** null until a delivery has finished, and once its outcome was dismissed. */
export const useDeliveryOutcome = (): DeliveryOutcome | null => useStore(store).outcome
/** Shows the outcome of a delivery; also one that an earlier page started. */
export const showDeliveryOutcome = (outcome: DeliveryOutcome): void => store.setState({ outcome })
/** Closes the outcome of the last delivery. */
export const dismissDeliveryOutcome = (): void => store.setState({ outcome: null })

/** Delivers with progress and cancel; a failure becomes a notice. */
export async function deliver(songTitle: string, request: InputOf<'deliver'>): Promise<void> {
  const title = nameOfBackgroundTask({ kind: 'delivery', songTitle })
  const made = await runBackgroundTask(title, (options) => client.deliver(request, options))
  if (made !== undefined) showDeliveryOutcome(made)
}
