// The measured joints of a chain for one take, matched to its stages. While a new measurement
// runs, the previous figures remain.

import { keepPreviousData, useQuery } from '@tanstack/react-query'
import { useMemo } from 'react'
import type { ChainMeasurement, Joint, MeasuredStage } from '../../../../app/contract/joints.ts'
import { type ChainRows, stagesOf } from '../../../formats/chain/chain-rows.ts'
import { useAtRest } from '../../../parts/use-at-rest.ts'
import { client } from '../../../state/connection.ts'

const REST_MS = 300
const KEPT_MS = 60_000

/** The joints before and after a stage. */
export interface MeasuredRow {
  readonly before: Joint
  readonly after: Joint
  /** null where the stage has not been measured yet. */
  readonly stage: MeasuredStage | null
}

/** A measured chain, matched to its rows. */
export interface MeasuredChain {
  readonly input: Joint
  readonly output: Joint
  /** One for each row. */
  readonly rows: readonly MeasuredRow[]
}

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
    queryFn: async ({ signal }) => ({
      keys: settled.map((row) => row.key),
      measurement: await client.measureChain({ takeId: takeId!, stages: stagesOf(settled) }, { signal }),
    }),
    enabled: takeId !== null,
    placeholderData: keepPreviousData,
    gcTime: KEPT_MS,
    meta: { subjects: ['takes', 'mics'] },
  })
  const { data } = query
  const chain = useMemo(
    () => (data === undefined ? null : inStep(data.measurement, data.keys, rows)),
    [data, rows],
  )
  return {
    chain: takeId === null ? null : chain,
    isMeasuring: takeId !== null && (query.isFetching || settled !== rows),
    failure: query.error?.message ?? null,
  }
}

/**
 * Matches figures to rows: by index if the kinds of all stages match, otherwise by key. A stage that
 * has not been measured shows its input.
 */
function inStep(measurement: ChainMeasurement, keys: readonly number[], rows: ChainRows): MeasuredChain {
  const hasSameStages =
    measurement.stages.length === rows.length &&
    measurement.stages.every((stage, index) => stage.kind === rows[index].stage.kind)
  const input = measurement.joints[0]
  let flow = input
  const measuredRows = rows.map((row, place): MeasuredRow => {
    const index = hasSameStages ? place : keys.indexOf(row.key)
    if (index === -1) return { before: flow, after: flow, stage: null }
    const before = flow
    flow = measurement.joints[index + 1]
    return { before, after: flow, stage: measurement.stages[index] }
  })
  return { input, output: flow, rows: measuredRows }
}
