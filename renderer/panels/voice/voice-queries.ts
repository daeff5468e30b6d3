// Queries about a take's voice: analysis with proposals, and comparison with earlier takes.

import { queryOptions } from '@tanstack/react-query'
import { client } from '../../state/connection.ts'
import { clearProgress, trackProgress } from './analysis-progress.tsx'

/** Analysing a take can be slow, so unused results stay cached for this long. */
const KEPT_MS = 30 * 60_000

/** Key of the progress of a voice analysis. */
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
      return client.runSoundcheck({ takeId }, options).finally(() => clearProgress(key))
    },
    gcTime: KEPT_MS,
    meta: { subjects: ['takes', 'sessions', 'mics'] },
  })
