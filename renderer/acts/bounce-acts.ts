// A bounce goes on while the engineer does; its outcome is kept until it has been read.

import type { BounceOutcome, InputOf } from '../../app/contract/wire/commands.ts'
import { nameOfLongAct } from '../../app/contract/wire/long-acts.ts'
import { client } from '../state/connection.ts'
import { runLongAct } from '../state/notices.ts'
import { createStore, useStore } from '../state/store.ts'

const outcome = createStore<BounceOutcome | null>(null)

export const useBounceOutcome = (): BounceOutcome | null => useStore(outcome)
export const showBounceOutcome = (made: BounceOutcome): void => outcome.set(made)
export const dismissBounceOutcome = (): void => outcome.set(null)

export async function bounce(songTitle: string, request: InputOf<'bounceSession'>): Promise<void> {
  const title = nameOfLongAct({ kind: 'bounce', songTitle })
  const made = await runLongAct(title, (options) => client.bounceSession(request, options))
  if (made !== undefined) showBounceOutcome(made)
}
