// A take of an earlier day is used in this session, with the way back.

import type { FoundTake } from '../../app/contract/entities.ts'
import { client } from '../state/connection.ts'
import { reportFailure } from '../state/notices.ts'
import { selectTake } from '../state/selection.ts'
import { undoHistory } from '../state/undo.ts'

/** @returns whether it is in the session now */
export async function addEarlierTake(sessionId: number, { id: takeId, name }: FoundTake): Promise<boolean> {
  const both = { sessionId, takeId }
  try {
    await undoHistory.perform({
      label: `use of ${name}`,
      redo: () => client.addTakeToSession(both),
      undo: () => client.takeOutOfSession(both),
    })
    selectTake(takeId)
    return true
  } catch (error) {
    reportFailure(`${name} was not added`, error)
    return false
  }
}
