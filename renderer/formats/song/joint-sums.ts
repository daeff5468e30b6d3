// Running sums over the rows of one joint, so that the mean power of any range costs one subtraction.

import { STRANDS } from '../../../app/contract/joints.ts'
import type { JointRows } from '../../../app/contract/song/joint-rows.ts'

/** The rows of a joint with their sums: entry k of each is the sum of the rows before row k. */
export interface JointSums {
  readonly rows: JointRows
  readonly count: number
  readonly powers: Float64Array
  readonly loudnessPowers: Float64Array
  /** One for each strand. */
  readonly strandPowers: readonly Float64Array[]
}

/** Rows are made once and then shared, so their sums are too. */
const made = new WeakMap<JointRows, JointSums>()

/** The sums of a joint's rows. */
export function sumsOf(rows: JointRows): JointSums {
  let sums = made.get(rows)
  if (sums === undefined) {
    const count = rows.powers.length
    sums = {
      rows,
      count,
      powers: runningSum(rows.powers),
      loudnessPowers: runningSum(rows.loudnessPowers),
      strandPowers: STRANDS.map((_, s) => runningSum(rows.strandPowers.subarray(s * count, (s + 1) * count))),
    }
    made.set(rows, sums)
  }
  return sums
}

function runningSum(values: Float32Array): Float64Array {
  const sums = new Float64Array(values.length + 1)
  for (let i = 0; i < values.length; i++) sums[i + 1] = sums[i] + values[i]
  return sums
}
