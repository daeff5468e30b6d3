// Selects a session that has just been created. The list of sessions is read again first,
// because a selected session that is not in it is deselected.

import { sessionsQuery } from '../state/queries.ts'
import { queryClient } from '../state/query-client.ts'
import { selectSession } from '../state/selection.ts'

/** Resolves once the session is selected. */
export async function chooseNewSession(sessionId: number): Promise<void> {
  await queryClient.fetchQuery({ ...sessionsQuery, staleTime: 0 })
  selectSession(sessionId)
}
