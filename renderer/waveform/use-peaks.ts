// Stored peaks of a take, cached, since takes never change.

import { useQuery } from '@tanstack/react-query'
import { fetchPeaks } from './fetch-peaks.ts'
import type { Peaks } from './peaks.ts'

/** Peaks of a take; undefined until they are loaded. */
export function usePeaks(takeId: number): Peaks | undefined {
  const { data } = useQuery({
    queryKey: ['peaks', takeId],
    queryFn: ({ signal }) => fetchPeaks(takeId, signal),
    gcTime: 10 * 60_000,
  })
  return data
}
