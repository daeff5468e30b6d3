// A take of an earlier day is used in this session, with the way back.

import type { FoundTake } from '../../app/contract/entities.ts'
import { client } from '../state/connection.ts'
import { attempt } from '../state/notices.ts'
import { selectTake } from '../state/selection.ts'
import { undoHistory } from '../state/undo.ts'

export async function addEarlierTake(sessionId: number, { id: takeId, name }: FoundTake): Promise<void> {
  const both = { sessionId, takeId }
  await attempt(`${name} was not added`, async () => {
    await undoHistory.perform({
      label: `use of ${name}`,
      redo: () => client.addTakeToSession(both),
      undo: () => client.takeOutOfSession(both),
    })
    selectTake(takeId)
  })
}
