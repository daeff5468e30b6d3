// Matches a measurement to the chain that is shown, which may have been edited since: what was measured
// before stays where it belongs to the same stage and is marked as stale; no stage gets another's figures.

import type { ChainStages } from '../../../../app/contract/chain-document.ts'
import {
  type ChainMeasurement,
  type Joint,
  type MeasuredStage,
  STRANDS,
} from '../../../../app/contract/joints.ts'
import { type ChainRows, stagesOf } from '../../../formats/chain/chain-rows.ts'

/** 'stale' figures are of settings or of a take before the last change; 'unknown' ones do not exist yet. */
export type Freshness = 'measured' | 'stale' | 'unknown'

/** The joints before and after a stage. */
export interface MeasuredRow {
  readonly before: Joint
  readonly after: Joint
  /** null where the stage has not been measured yet. */
  readonly stage: MeasuredStage | null
  /** Of the stage's own figures. */
  readonly ofStage: Freshness
  /** Of the joint after it; unknown wherever other stages came before it than now. */
  readonly ofJoint: Freshness
}

/** A measured chain, matched to its rows. */
export interface MeasuredChain {
  readonly input: Joint
  readonly output: Joint
  readonly ofInput: Freshness
  /** One for each row. */
  readonly rows: readonly MeasuredRow[]
}

/** What was measured: a take or a group through stages whose rows had these keys. */
export interface MeasuredBefore {
  readonly of: string
  readonly keys: readonly number[]
  readonly stages: ChainStages
  readonly measurement: ChainMeasurement
}

const NOTHING: Joint = {
  levelDbfs: null,
  loudnessLufs: null,
  samplePeakDbfs: null,
  crestDb: null,
  strandsDbfs: STRANDS.map(() => null),
}

/** Drawn as hairlines, so that the layout does not shift when the first measurement arrives. */
export const unmeasured = (stages: number): MeasuredChain => ({
  input: NOTHING,
  output: NOTHING,
  ofInput: 'unknown',
  rows: Array.from({ length: stages }, () => ({
    before: NOTHING,
    after: NOTHING,
    stage: null,
    ofStage: 'unknown',
    ofJoint: 'unknown',
  })),
})

/** Whether two values are written the same. */
export const isSame = (a: unknown, b: unknown): boolean => a === b || JSON.stringify(a) === JSON.stringify(b)

/** @param of what is shown */
export function matchMeasurement(
  { of: measuredOf, keys, stages, measurement }: MeasuredBefore,
  of: string,
  rows: ChainRows,
): MeasuredChain {
  const { joints } = measurement
  const ofSound: Freshness = measuredOf === of ? 'measured' : 'stale'
  // The same chain may have been measured under other keys, for example before it was opened again.
  const isWhole = isSame(stages, stagesOf(rows))
  const hasSameOrder =
    isWhole ||
    isSame(
      keys,
      rows.map(({ key }) => key),
    )
  const indexOf = (key: number, place: number): number => (hasSameOrder ? place : keys.indexOf(key))

  let isUnchanged = true
  let isInOrder = true
  let flow = joints[0]
  const measuredRows = rows.map((row, place): MeasuredRow => {
    const index = indexOf(row.key, place)
    isInOrder &&= index === place
    isUnchanged &&= isInOrder && (isWhole || isSame(stages[index], row.stage))
    if (index === -1) {
      return { before: flow, after: flow, stage: null, ofStage: 'unknown', ofJoint: 'unknown' }
    }
    flow = joints[index + 1]
    const freshness = isUnchanged ? ofSound : 'stale'
    return {
      before: joints[index],
      after: flow,
      stage: measurement.stages[index],
      ofStage: freshness,
      ofJoint: hasSameOrder || isInOrder ? freshness : 'unknown',
    }
  })
  return { input: joints[0], output: flow, ofInput: ofSound, rows: measuredRows }
}
