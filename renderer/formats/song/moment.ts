// Figures of a chain at one moment of the song, from its rows: what the river shows while it plays.

import type { ChainMeasurement, MeasuredStage } from '../../../app/contract/joints.ts'
import type { JointSums } from './joint-sums.ts'
import { jointOver, LOUDNESS_OFFSET_LU, type MeasuredSong, type RowRange, wholeOf } from './range-figures.ts'

/** Rows that a moment has: 0.17 s, so that strands move with syllables and do not flicker with periods of the voice. */
const MOMENT_ROWS = 8

/** The rows of a moment that ends with the one heard; null outside of the take. */
export function momentAt({ layout, joints }: MeasuredSong, takeSeconds: number): RowRange | null {
  const row = Math.floor((takeSeconds * layout.sampleRateHz) / layout.rowFrames)
  if (row < 0 || row >= joints[0].count) return null
  return momentRowsAt(row)
}

/** The rows of the moment that ends with a row. */
export const momentRowsAt = (row: number): RowRange => ({
  fromRow: Math.max(0, row + 1 - MOMENT_ROWS),
  toRow: row + 1,
})

/** Figures of a moment, silence included: nothing is left out as a pause. */
export function measurementAt(
  { layout, joints }: MeasuredSong,
  stages: readonly MeasuredStage[],
  moment: RowRange,
): ChainMeasurement {
  const runs = [moment]
  return {
    joints: joints.map((joint) => jointOver(joint, moment, runs)),
    stages: stages.map((stage, k) => {
      if (stage.maxReductionDb === null) return stage
      const { leastDb, mostDb } = joints[k + 1].rows
      const last = moment.toRow - 1
      return { ...stage, medianReductionDb: (leastDb[last] + mostDb[last]) / 2, maxReductionDb: mostDb[last] }
    }),
    seconds: ((moment.toRow - moment.fromRow) * layout.rowFrames) / layout.sampleRateHz,
  }
}

/** Moments across the song, as few as show how loud its joints get: the river's scale must hold all of them. */
export function* momentsOf(song: MeasuredSong): Generator<RowRange> {
  const { toRow } = wholeOf(song)
  for (let row = 0; row + MOMENT_ROWS <= toRow; row += MOMENT_ROWS)
    yield { fromRow: row, toRow: row + MOMENT_ROWS }
}

/** EBU Tech 3341: short-term loudness is that of the last 3 s, without gates. */
const SHORT_TERM_SECONDS = 3

/** Short-term loudness in LUFS at a joint, of the 3 s that end with a row; null before there are as many, and in silence. */
export function shortTermAt(joint: JointSums, row: number, { layout }: MeasuredSong): number | null {
  const rows = Math.round((SHORT_TERM_SECONDS * layout.sampleRateHz) / layout.rowFrames)
  const fromRow = row + 1 - rows
  if (fromRow < 0) return null
  const power = (joint.loudnessPowers[row + 1] - joint.loudnessPowers[fromRow]) / rows
  return power > 0 ? LOUDNESS_OFFSET_LU + 10 * Math.log10(power) : null
}
