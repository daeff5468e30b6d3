// A take that does not belong here goes out of the session, with the way back; the catalogue keeps it.

import type { Take } from '../../app/contract/entities.ts'
import { client } from '../state/connection.ts'
import { attempt } from '../state/notices.ts'
import { readSelection, selectTake } from '../state/selection.ts'
import { undoHistory } from '../state/undo.ts'

/** The take beside it is chosen, and the table has the keyboard. */
export async function takeOut(sessionId: number, takes: readonly Take[], { id, name }: Take): Promise<void> {
  const both = { sessionId, takeId: id }
  const place = takes.findIndex((take) => take.id === id)
  const beside = takes[place + 1] ?? takes[place - 1]
  await attempt(`${name} stays in the session`, async () => {
    await undoHistory.perform({
      label: `taking out of ${name}`,
      redo: () => client.takeOutOfSession(both),
      undo: () => client.addTakeToSession(both),
    })
    if (readSelection().sessionId !== sessionId || beside === undefined) return
    selectTake(beside.id)
    // The table hands it on to the chosen line, which is drawn in the next frame.
    requestAnimationFrame(() => document.querySelector<HTMLElement>('.take-table')?.focus())
  })
}
