// Runs a bounce in the background; its outcome is shown until it is dismissed.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { BounceOutcome, InputOf } from '../../app/contract/wire/commands.ts'
import { nameOfBackgroundTask } from '../../app/words/background-tasks.ts'
import { client } from '../state/connection.ts'
import { runBackgroundTask } from '../state/notices.ts'

const store = createStore<{ readonly outcome: BounceOutcome | null }>()(() => ({ outcome: null }))

/** null until a bounce has finished, and once its outcome was dismissed. */
export const useBounceOutcome = (): BounceOutcome | null => useStore(store).outcome
/** Shows the outcome of a bounce; also one that an earlier page started. */
export const showBounceOutcome = (outcome: BounceOutcome): void => store.setState({ outcome })
/** Closes the outcome of the last bounce. */
export const dismissBounceOutcome = (): void => store.setState({ outcome: null })

/** Bounces with progress and cancel; a failure becomes a notice. @returns whether there is a bounce now */
export async function bounce(songTitle: string, request: InputOf<'bounceSession'>): Promise<boolean> {
  const title = nameOfBackgroundTask({ kind: 'bounce', songTitle })
  const made = await runBackgroundTask(title, (options) => client.bounceSession(request, options))
  if (made !== undefined) showBounceOutcome(made)
  return made !== undefined
}
