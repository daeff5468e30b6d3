// Where a stage with a static curve works at one row of the song: the level that it hears, and what it takes away.

import { BAND_POWERS, ROW_BANDS_HZ } from '../../../../app/contract/song/joint-rows.ts'
import { sideChainPower } from '../../../../app/dsp/stages/static-curves.ts'
import type { MeasuredSong } from '../../../formats/song/range-figures.ts'

const BANDS = ROW_BANDS_HZ.length
/** Mean square of a full-scale sine, which is 0 dBFS (AES17). */
const FULL_SCALE_POWER = 0.5

interface WorkingPoint {
  /** As the side chain hears it, a steady sine reading its peak level. */
  readonly inputDbfs: number
  /** 0 or more, without make-up gain. */
  readonly reductionDb: number
}

const weights = new Map<string, readonly number[]>()

function weightsOf(kind: 'expander' | 'opto', sampleRateHz: number): readonly number[] {
  const key = `${kind} ${sampleRateHz}`
  let found = weights.get(key)
  if (found === undefined) {
    found = ROW_BANDS_HZ.map((hz) => (hz < sampleRateHz / 2 ? sideChainPower(kind, hz, sampleRateHz) : 0))
    weights.set(key, found)
  }
  return found
}

/**
 * The level is that of the two spectra that overlap in the row, so that it is of the same time as the reduction.
 * @param stage index in the measured chain
 * @returns null where the stage is off, or nothing is heard
 */
export function workingPointAt(
  { joints, layout }: MeasuredSong,
  stage: number,
  kind: 'expander' | 'opto',
  row: number,
): WorkingPoint | null {
  const before = joints[stage]
  const after = joints[stage + 1]
  if (before === undefined || after === undefined || before === after) return null
  const { thirds } = before.rows
  const weight = weightsOf(kind, layout.sampleRateHz)
  const from = Math.max(0, row - 1)
  // The last row begins no spectrum.
  const to = Math.min(row + 1, before.count - 1)
  let power = 0
  for (let one = from; one < to; one++)
    for (let b = 0; b < BANDS; b++) power += weight[b] * BAND_POWERS[thirds[one * BANDS + b]]
  if (power === 0) return null
  const { leastDb, mostDb } = after.rows
  return {
    inputDbfs: 10 * Math.log10(power / (to - from) / FULL_SCALE_POWER),
    reductionDb: (leastDb[row] + mostDb[row]) / 2,
  }
}
