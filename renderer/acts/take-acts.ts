// Undoable acts on the takes of a session.

import type { FoundTake, Take } from '../../app/contract/entities.ts'
import type { InputOf } from '../../app/contract/wire/commands.ts'
import { client } from '../state/connection.ts'
import { readSelection, selectTake } from '../state/selection.ts'
import { changing, perform } from './undoable.ts'

export type TakeChanges = InputOf<'updateTake'>['changes']

/** @param what the field in words, as in 'mic' */
export const changeTake = (take: Take, changes: TakeChanges, what: string): Promise<boolean> =>
  perform({
    label: `${what} of ${take.name}`,
    ...changing(take, changes, (fields) => client.updateTake({ id: take.id, changes: fields })),
  })

/** Uses a take of an earlier session in this one, and selects it. */
export async function addEarlierTake(sessionId: number, { id: takeId, name }: FoundTake): Promise<void> {
  const isAdded = await perform({
    label: `add take ${name}`,
    redo: () => client.addTakeToSession({ sessionId, takeId }),
    undo: () => client.takeOutOfSession({ sessionId, takeId }),
  })
  if (isAdded) selectTake(takeId)
}

/**
 * Removes a take from the session; it stays in the catalogue. Its neighbour is selected.
 * @param takes all takes of the session, in the order in which they are listed
 * @returns whether it was removed
 */
export async function removeTake(
  sessionId: number,
  takes: readonly Take[],
  { id: takeId, name }: Take,
): Promise<boolean> {
  const place = takes.findIndex((take) => take.id === takeId)
  const neighbour = takes[place + 1] ?? takes[place - 1]
  const isRemoved = await perform({
    label: `remove take ${name}`,
    redo: () => client.takeOutOfSession({ sessionId, takeId }),
    undo: () => client.addTakeToSession({ sessionId, takeId }),
  })
  if (isRemoved && readSelection().sessionId === sessionId && neighbour !== undefined) {
    selectTake(neighbour.id)
    // The table passes the focus to the selected row, which is rendered in the next frame.
    requestAnimationFrame(() => document.querySelector<HTMLElement>('.take-table')?.focus())
  }
  return isRemoved
}
