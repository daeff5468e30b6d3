// Measures the joints of a chain for one take. While a new measurement runs, the previous figures remain,
// marked as stale.

import { keepPreviousData, useQuery } from '@tanstack/react-query'
import { useMemo } from 'react'
import { type ChainRows, stagesOf } from '../../../formats/chain/chain-rows.ts'
import { useAtRest } from '../../../parts/use-at-rest.ts'
import { client } from '../../../state/connection.ts'
import { type MeasuredBefore, type MeasuredChain, matchMeasurement } from './match-measurement.ts'

const REST_MS = 300
const KEPT_MS = 60_000

/** The state of a measurement. */
export interface ChainMeasuring {
  /** null until the first measurement. */
  readonly chain: MeasuredChain | null
  readonly isMeasuring: boolean
  /** Message of a measurement that failed. */
  readonly failure: string | null
}

/** Measures 300 ms after the last change. @param takeId null for no measurement */
export function useChainMeasurement(takeId: number | null, rows: ChainRows): ChainMeasuring {
  const settled = useAtRest(rows, REST_MS)
  const query = useQuery({
    queryKey: ['chain measurement', takeId, stagesOf(settled)],
    queryFn: async ({ signal }): Promise<MeasuredBefore> => {
      const stages = stagesOf(settled)
      return {
        takeId: takeId!,
        keys: settled.map((row) => row.key),
        stages,
        measurement: await client.measureChain({ takeId: takeId!, stages }, { signal }),
      }
    },
    enabled: takeId !== null,
    placeholderData: keepPreviousData,
    gcTime: KEPT_MS,
    meta: { subjects: ['takes', 'mics'] },
  })
  const { data } = query
  const chain = useMemo(
    () => (data === undefined || takeId === null ? null : matchMeasurement(data, takeId, rows)),
    [data, takeId, rows],
  )
  return {
    chain,
    isMeasuring: takeId !== null && (query.isFetching || settled !== rows),
    failure: query.error?.message ?? null,
  }
}
