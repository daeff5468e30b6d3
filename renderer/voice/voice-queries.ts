// What is asked of a take's voice: its analysis with proposals, and the comparison with its history.

import { queryOptions } from '@tanstack/react-query'
import { client } from '../state/connection.ts'

/** An analysis may mean listening to the whole take: it is kept while the window is open. */
const KEPT_MS = 30 * 60_000

export const voiceQuery = (takeId: number) =>
  queryOptions({
    queryKey: ['voice', takeId],
    queryFn: ({ signal }) => client.analyseVoice({ takeId }, { signal }),
    gcTime: KEPT_MS,
    meta: { subjects: ['takes', 'sessions'] },
  })

export const soundcheckQuery = (takeId: number) =>
  queryOptions({
    queryKey: ['soundcheck', takeId],
    queryFn: ({ signal }) => client.checkSound({ takeId }, { signal }),
    gcTime: KEPT_MS,
    meta: { subjects: ['takes', 'sessions', 'mics'] },
  })
