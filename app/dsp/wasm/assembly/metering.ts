// What the meters do with every sample: K-weighted energy, and the greatest values of groups.

import { greatestBend, greatestMagnitude } from './interval-peaks.ts'

/**
 * Sum of squares of two channels behind both stages of the K-weighting, each summed for itself.
 * In state-space form, y = b0 x + s1: the next state needs the last state and not the
 * output, which shortens what each sample has to wait for.
 * @param both samples of the channels in turn
 * @param coefficients b0, b1 - a1 b0, b2 - a2 b0, a1, a2 of the shelf, then -2 - a1, 1 - a2,
 *   a1, a2 of the high-pass, whose b are 1, -2, 1
 * @param state four vectors; behind them it writes the two sums
 */
export function writeKWeightedEnergies(both: usize, frames: i32, coefficients: usize, state: usize): void {
  const b0 = v128.load64_splat(coefficients)
  const b1 = v128.load64_splat(coefficients, 8)
  const b2 = v128.load64_splat(coefficients, 16)
  const a1 = v128.load64_splat(coefficients, 24)
  const a2 = v128.load64_splat(coefficients, 32)
  const d1 = v128.load64_splat(coefficients, 40)
  const d2 = v128.load64_splat(coefficients, 48)
  const c1 = v128.load64_splat(coefficients, 56)
  const c2 = v128.load64_splat(coefficients, 64)
  let s1 = v128.load(state)
  let s2 = v128.load(state, 16)
  let t1 = v128.load(state, 32)
  let t2 = v128.load(state, 48)
  let sum = f64x2.splat(0)
  const end = both + (frames << 4)
  for (let at = both; at < end; at += 16) {
    const v = v128.load(at)
    const y = f64x2.add(f64x2.mul(b0, v), s1)
    const z = f64x2.add(y, t1)
    const s = f64x2.sub(f64x2.add(f64x2.mul(b1, v), s2), f64x2.mul(a1, s1))
    s2 = f64x2.sub(f64x2.mul(b2, v), f64x2.mul(a2, s1))
    s1 = s
    const t = f64x2.sub(f64x2.add(f64x2.mul(d1, y), t2), f64x2.mul(c1, t1))
    t2 = f64x2.sub(f64x2.mul(d2, y), f64x2.mul(c2, t1))
    t1 = t
    sum = f64x2.add(sum, f64x2.mul(z, z))
  }
  v128.store(state, s1)
  v128.store(state, s2, 16)
  v128.store(state, t1, 32)
  v128.store(state, t2, 48)
  v128.store(state, sum, 64)
}

/**
 * Takes a row into the lowest and highest values and the sums of every second pair of samples.
 * @param count of samples, 1 or more; a multiple of 4 in all rows but the last
 * @param state lowest, highest, sums of places 0 and 1, sums of places 2 and 3: two values
 *   each. What is left over of the last row is added to place 0.
 */
export function surveyRow(row: usize, count: i32, state: usize): void {
  let lowest = v128.load(state)
  let highest = v128.load(state, 16)
  // Four sums, so that one addition does not wait for the last.
  let a = v128.load(state, 32)
  let b = v128.load(state, 48)
  let i = 0
  for (; i + 3 < count; i += 4) {
    const at = row + (i << 3)
    const x = v128.load(at)
    const y = v128.load(at, 16)
    lowest = f64x2.pmin(f64x2.pmin(lowest, x), y)
    highest = f64x2.pmax(f64x2.pmax(highest, x), y)
    a = f64x2.add(a, x)
    b = f64x2.add(b, y)
  }
  for (; i < count; i++) {
    const x = v128.load64_splat(row + (i << 3))
    lowest = f64x2.pmin(lowest, x)
    highest = f64x2.pmax(highest, x)
    a = f64x2.replace_lane(a, 0, f64x2.extract_lane(a, 0) + f64x2.extract_lane(x, 0))
  }
  v128.store(state, lowest)
  v128.store(state, highest, 16)
  v128.store(state, a, 32)
  v128.store(state, b, 48)
}

/**
 * The first place from `from` on whose value times `sign` reaches `floor`; `end` where there is none.
 * @param sign 1 or -1
 */
export function indexReaching(row: usize, from: i32, end: i32, sign: f64, floor: f64): i32 {
  const signs = f64x2.splat(sign)
  const floors = f64x2.splat(floor)
  let i = from
  for (; i + 7 < end; i += 8) {
    const at = row + (i << 3)
    const x = f64x2.pmax(f64x2.mul(signs, v128.load(at)), f64x2.mul(signs, v128.load(at, 16)))
    const y = f64x2.pmax(f64x2.mul(signs, v128.load(at, 32)), f64x2.mul(signs, v128.load(at, 48)))
    if (v128.any_true(f64x2.ge(f64x2.pmax(x, y), floors))) break
  }
  while (i < end && sign * load<f64>(row + (i << 3)) < floor) i++
  return i
}

/** Greatest magnitude of each group. @param groupFrames a multiple of 2 */
export function writeGroupPeaks(samples: usize, groups: i32, groupFrames: i32, peaks: usize): void {
  const bytes = groupFrames << 3
  for (let g = 0; g < groups; g++) {
    const from = samples + g * bytes
    store<f64>(peaks + (g << 3), greatestMagnitude(from, from + bytes))
  }
}

/** Greatest second difference of each group; reads a sample before the first and behind the last. */
export function writeGroupBends(samples: usize, groups: i32, groupFrames: i32, bends: usize): void {
  const bytes = groupFrames << 3
  for (let g = 0; g < groups; g++) {
    const from = samples + g * bytes
    store<f64>(bends + (g << 3), greatestBend(from, from + bytes))
  }
}
