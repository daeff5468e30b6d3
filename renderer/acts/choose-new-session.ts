// Selects a session that was made a moment ago. The list is read anew first: a session
// that the window's list does not hold counts as gone.

import { sessionsQuery } from '../state/queries.ts'
import { queryClient } from '../state/query-client.ts'
import { selectSession } from '../state/selection.ts'

export async function chooseNewSession(sessionId: number): Promise<void> {
  await queryClient.fetchQuery({ ...sessionsQuery, staleTime: 0 })
  selectSession(sessionId)
}
