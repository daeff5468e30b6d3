// Figures of a chain over a range of the song, from its rows: what a measurement of the sound at each joint, cut out
// there, gives. Rows count while the voice sounds at the chain's input, at every joint the same ones.

import type { ChainMeasurement, Joint, MeasuredStage } from '../../../app/contract/joints.ts'
import type { RowsOfChain } from '../../../app/contract/song/joint-rows.ts'
import type { JointSums } from './joint-sums.ts'

/** BS.1770-5 Annex 1: eq. 2 and the gates of eq. 6 and 7. */
export const LOUDNESS_OFFSET_LU = -0.691
const ABSOLUTE_GATE_POWER = 10 ** ((-70 - LOUDNESS_OFFSET_LU) / 10)
const RELATIVE_GATE_RATIO = 0.1
/** The gates look at about 100 ms around each row. */
const ROWS_BESIDE = 2
/** Quieter rows of the input do not count for a stage's usual reduction; as in the measurement of a whole take. */
export const LOUD_POWER = 10 ** -5
/** A spectrum covers two rows. */
const SPECTRUM_ROWS = 2

/** Rows `fromRow` up to `toRow`, which is excluded. */
export interface RowRange {
  readonly fromRow: number
  readonly toRow: number
}

/** What was measured along the song. */
export interface MeasuredSong {
  readonly layout: RowsOfChain
  /** Of each joint, as in the measurement; equal joints share theirs. */
  readonly joints: readonly JointSums[]
}

/** All rows of the song. */
export const wholeOf = ({ joints }: MeasuredSong): RowRange => ({ fromRow: 0, toRow: joints[0].count })

/** The rows that hold seconds of the take; at least one, and none outside of the take. */
export function rowsOfSeconds(
  { sampleRateHz, rowFrames, frames }: RowsOfChain,
  fromSeconds: number,
  toSeconds: number,
): RowRange | null {
  const perRow = rowFrames / sampleRateHz
  const rows = Math.ceil(frames / rowFrames)
  const fromRow = Math.max(0, Math.round(fromSeconds / perRow))
  const toRow = Math.min(rows, Math.max(fromRow + 1, Math.round(toSeconds / perRow)))
  return toRow <= fromRow || toSeconds <= 0 ? null : { fromRow, toRow }
}

/** Seconds of the take at which rows begin and end. */
export function secondsOfRows(
  { sampleRateHz, rowFrames, frames }: RowsOfChain,
  { fromRow, toRow }: RowRange,
): { readonly fromSeconds: number; readonly toSeconds: number } {
  return {
    fromSeconds: (fromRow * rowFrames) / sampleRateHz,
    toSeconds: Math.min(frames, toRow * rowFrames) / sampleRateHz,
  }
}

/**
 * Runs of rows in which the voice sounds: above -70 LUFS, and above 10 LU under the mean of those, both within the range.
 * @param input the chain's first joint
 */
export function activeRuns(input: JointSums, { fromRow, toRow }: RowRange): RowRange[] {
  const { loudnessPowers: sums } = input
  const around = (row: number): number => {
    const from = Math.max(fromRow, row - ROWS_BESIDE)
    const to = Math.min(toRow, row + ROWS_BESIDE + 1)
    return (sums[to] - sums[from]) / (to - from)
  }
  let sum = 0
  let count = 0
  for (let row = fromRow; row < toRow; row++) {
    const power = around(row)
    if (power <= ABSOLUTE_GATE_POWER) continue
    sum += power
    count++
  }
  if (count === 0) return []
  const gate = Math.max(ABSOLUTE_GATE_POWER, (sum / count) * RELATIVE_GATE_RATIO)
  const runs: RowRange[] = []
  let start = -1
  for (let row = fromRow; row <= toRow; row++) {
    const isActive = row < toRow && around(row) > gate
    if (isActive && start === -1) start = row
    if (isActive || start === -1) continue
    runs.push({ fromRow: start, toRow: row })
    start = -1
  }
  return runs
}

/** Mean of the rows of all runs, each run by one subtraction; null without rows. */
function meanOver(sums: Float64Array, runs: readonly RowRange[], rowsLess = 0): number | null {
  let sum = 0
  let count = 0
  for (const { fromRow, toRow } of runs) {
    const end = toRow - rowsLess
    if (end <= fromRow) continue
    sum += sums[end] - sums[fromRow]
    count += end - fromRow
  }
  return count === 0 ? null : sum / count
}

const dbOf = (power: number | null): number | null =>
  power !== null && power > 0 ? 10 * Math.log10(power) : null

/** The figures of one joint over the runs of a range. */
export function jointOver(joint: JointSums, range: RowRange, runs: readonly RowRange[]): Joint {
  const levelDbfs = dbOf(meanOver(joint.powers, runs))
  const loudness = dbOf(meanOver(joint.loudnessPowers, runs))
  let peak = 0
  for (let row = range.fromRow; row < range.toRow; row++) peak = Math.max(peak, joint.rows.peaks[row])
  const samplePeakDbfs = peak > 0 ? 20 * Math.log10(peak) : null
  return {
    levelDbfs,
    loudnessLufs: loudness === null ? null : loudness + LOUDNESS_OFFSET_LU,
    samplePeakDbfs,
    crestDb: levelDbfs === null || samplePeakDbfs === null ? null : samplePeakDbfs - levelDbfs,
    strandsDbfs: joint.strandPowers.map((sums) => dbOf(meanOver(sums, runs, SPECTRUM_ROWS - 1))),
  }
}

/** @param stage as measured over the whole take @param input the chain's first joint @param after the joint behind it */
function stageOver(
  stage: MeasuredStage,
  input: JointSums,
  after: JointSums,
  { fromRow, toRow }: RowRange,
): MeasuredStage {
  if (stage.maxReductionDb === null) return stage
  const { mostDb } = after.rows
  let greatest = 0
  const loud: number[] = []
  for (let row = fromRow; row < toRow; row++) {
    greatest = Math.max(greatest, mostDb[row])
    if (input.rows.powers[row] > LOUD_POWER) loud.push(mostDb[row])
  }
  return { ...stage, maxReductionDb: greatest, medianReductionDb: loud.length === 0 ? null : medianOf(loud) }
}

/** The middle value, the higher one where two are in the middle, as the measurement of a whole take has it. */
const medianOf = (values: readonly number[]): number => Float64Array.from(values).sort()[values.length >> 1]

/** The measurement of a whole take, with the figures of a range of it instead. */
export function measurementOver(
  song: MeasuredSong,
  { stages }: { readonly stages: readonly MeasuredStage[] },
  range: RowRange,
): ChainMeasurement {
  const { layout, joints } = song
  const [input] = joints
  const runs = activeRuns(input, range)
  const { fromSeconds, toSeconds } = secondsOfRows(layout, range)
  return {
    joints: joints.map((joint) => jointOver(joint, range, runs)),
    stages: stages.map((stage, k) => stageOver(stage, input, joints[k + 1], range)),
    seconds: toSeconds - fromSeconds,
  }
}
