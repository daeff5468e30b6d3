// A step between two sessions: the split of the series whose sides differ most by ranks. Its probability is that of
// the best split, over all orders of the ranks, since the split was chosen by looking.
// Test of the best split by ranks: Pettitt, Applied Statistics 28(2), 1979; here each split is weighed by its own
// standard deviation, and the limit comes from permutations instead of the formula for long series.

import { createRandom } from '../maths/random.ts'
import { medianOf } from './usual.ts'

export interface Step {
  /** Index of the first value after the step. */
  readonly at: number
  /** Median after minus median before. */
  readonly difference: number
  /** Probability of such a split, or a clearer one, in a series without order. */
  readonly p: number
}

const FEWEST_ON_A_SIDE = 3
/** Gives p to about 0.001 where it is 0.02. */
const ORDERS = 20_000

/** null for fewer than six values. */
export function stepOf(values: readonly number[]): Step | null {
  if (values.length < 2 * FEWEST_ON_A_SIDE) return null
  const best = bestSplit(ranksOf(values))
  const limits = clearestSplits(values.length)
  const asClear = limits.length - firstFrom(limits, best.clearness - 1e-9)
  return {
    at: best.at,
    difference: medianOf(values.slice(best.at)) - medianOf(values.slice(0, best.at)),
    p: (asClear + 1) / (limits.length + 1),
  }
}

/** Ranks from 1; equal values share the mean of theirs. */
function ranksOf(values: readonly number[]): Float64Array {
  const sorted = Float64Array.from(values).sort()
  return Float64Array.from(values, (value) => (sorted.indexOf(value) + sorted.lastIndexOf(value)) / 2 + 1)
}

function bestSplit(ranks: Float64Array): { readonly at: number; readonly clearness: number } {
  const count = ranks.length
  let sum = 0
  let at = FEWEST_ON_A_SIDE
  let clearness = -1
  for (let before = 1; before <= count - FEWEST_ON_A_SIDE; before++) {
    sum += ranks[before - 1]
    if (before < FEWEST_ON_A_SIDE) continue
    // Mean and variance of Wilcoxon's rank sum.
    const expected = (before * (count + 1)) / 2
    const deviation = Math.sqrt((before * (count - before) * (count + 1)) / 12)
    const split = Math.abs(sum - expected) / deviation
    if (split > clearness) {
      clearness = split
      at = before
    }
  }
  return { at, clearness }
}

const clearestByCount = new Map<number, Float64Array>()

/** The clearness of the best split in random orders, ascending; the same ones for every series of this length. */
function clearestSplits(count: number): Float64Array {
  const known = clearestByCount.get(count)
  if (known !== undefined) return known
  const random = createRandom(count)
  const ranks = Float64Array.from({ length: count }, (_, i) => i + 1)
  const clearest = new Float64Array(ORDERS)
  for (let order = 0; order < ORDERS; order++) {
    for (let i = count - 1; i > 0; i--) {
      const j = Math.floor(random.uniform() * (i + 1))
      const moved = ranks[i]
      ranks[i] = ranks[j]
      ranks[j] = moved
    }
    clearest[order] = bestSplit(ranks).clearness
  }
  clearest.sort()
  clearestByCount.set(count, clearest)
  return clearest
}

/** Index of the first value that is at least `from`. */
function firstFrom(ascending: Float64Array, from: number): number {
  let low = 0
  let high = ascending.length
  while (low < high) {
    const half = (low + high) >> 1
    if (ascending[half] < from) low = half + 1
    else high = half
  }
  return low
}
