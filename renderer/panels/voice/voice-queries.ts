// What is asked of a take's voice: its analysis with proposals, and the comparison with its history.

import { queryOptions } from '@tanstack/react-query'
import { client } from '../../state/connection.ts'
import { clearProgress, trackProgress } from './analysis-progress.tsx'

/** An analysis may mean listening to the whole take: it is kept while the window is open. */
const KEPT_MS = 30 * 60_000

/** What the progress of either question goes by. */
export const voiceKey = (takeId: number): string => `voice ${takeId}`
/** Key of the progress of a soundcheck. */
export const soundcheckKey = (takeId: number): string => `soundcheck ${takeId}`

/** Analysis of a take’s voice with proposed stages. */
export const voiceQuery = (takeId: number) =>
  queryOptions({
    queryKey: ['voice', takeId],
    queryFn: ({ signal }) => {
      const key = voiceKey(takeId)
      const options = { signal, onProgress: trackProgress(key) }
      return client.analyseVoice({ takeId }, options).finally(() => clearProgress(key))
    },
    gcTime: KEPT_MS,
    meta: { subjects: ['takes', 'sessions'] },
  })

/** Comparison of a take with earlier takes of its voice. */
export const soundcheckQuery = (takeId: number) =>
  queryOptions({
    queryKey: ['soundcheck', takeId],
    queryFn: ({ signal }) => {
      const key = soundcheckKey(takeId)
      const options = { signal, onProgress: trackProgress(key) }
      return client.checkSound({ takeId }, options).finally(() => clearProgress(key))
    },
    gcTime: KEPT_MS,
    meta: { subjects: ['takes', 'sessions', 'mics'] },
  })
