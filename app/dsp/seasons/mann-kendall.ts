// A trend over sessions: Theil-Sen's slope and the exact test of Mann and Kendall. Sessions in several strata (one
// for each mic) are compared only within their stratum, so that a change of mic is no trend.
// Mann, Econometrica 13, 1945; Kendall, Rank Correlation Methods, 1975; Sen, JASA 63, 1968; strata: Hirsch, Slack
// and Smith, Water Resources Research 18(1), 1982.

import { medianOf } from './usual.ts'

/** A value at its place in the order of sessions. */
export interface SeasonPoint {
  readonly at: number
  readonly value: number
}

interface Trend {
  /** Kendall's S: pairs that rise minus pairs that fall. */
  readonly s: number
  /** Two-sided probability of such an S, or a greater one, without a trend; exact, also with equal values. */
  readonly p: number
  /** Median slope over all pairs, per session. */
  readonly slope: number
  /** Slope times the longest stretch of sessions in one stratum. */
  readonly change: number
}

/**
 * null if no two points can be compared.
 * @param strata points in the order of `at` within each stratum
 */
export function trendOf(strata: readonly (readonly SeasonPoint[])[]): Trend | null {
  const slopes: number[] = []
  let s = 0
  let unequalPairs = 0
  let falls: Float64Array = Float64Array.of(1)
  let stretch = 0
  for (const points of strata) {
    for (const [i, later] of points.entries()) {
      for (const earlier of points.slice(0, i)) {
        const rise = later.value - earlier.value
        slopes.push(rise / (later.at - earlier.at))
        s += Math.sign(rise)
        if (rise !== 0) unequalPairs++
      }
    }
    falls = convolve(falls, fallsWithoutTrend(points.map(({ value }) => value)))
    if (points.length > 1) stretch = Math.max(stretch, points[points.length - 1].at - points[0].at)
  }
  if (slopes.length === 0) return null
  const slope = medianOf(slopes)
  return { s, p: probabilityOf(Math.abs(s), unequalPairs, falls), slope, change: slope * stretch }
}

/** P(|S| >= s), where S = pairs - 2 falls. */
function probabilityOf(s: number, pairs: number, falls: Float64Array): number {
  let p = 0
  for (const [fall, share] of falls.entries()) if (Math.abs(pairs - 2 * fall) >= s) p += share
  return Math.min(1, p)
}

/**
 * Probability of each number of falling pairs over all orders of the values. The groups of equal values are
 * inserted one after another; the falls that a group adds have the distribution of Mann and Whitney's U.
 */
function fallsWithoutTrend(values: readonly number[]): Float64Array {
  const sizes = [...Map.groupBy(values, (value) => value).values()].map(({ length }) => length)
  let falls: Float64Array = Float64Array.of(1)
  let inserted = 0
  for (const size of sizes) {
    falls = size === 1 ? insertOne(falls, inserted) : convolve(falls, rankSumShares(inserted, size))
    inserted += size
  }
  return falls
}

/** One more value among `before` others adds 0 to `before` falls, each as likely as the others. */
function insertOne(falls: Float64Array, before: number): Float64Array {
  const sum = new Float64Array(falls.length + before)
  let running = 0
  for (let i = 0; i < sum.length; i++) {
    if (i < falls.length) running += falls[i]
    if (i > before) running -= falls[i - before - 1]
    sum[i] = Math.max(0, running) / (before + 1)
  }
  return sum
}

/** The distribution of Mann and Whitney's U for samples of `m` and `n`: index u from 0 to m n. */
function rankSumShares(m: number, n: number): Float64Array {
  // row[i] is the distribution for i and the present number of the others.
  let row: Float64Array[] = Array.from({ length: m + 1 }, () => Float64Array.of(1))
  for (let j = 1; j <= n; j++) {
    const next: Float64Array[] = [Float64Array.of(1)]
    for (let i = 1; i <= m; i++) {
      const shares = new Float64Array(i * j + 1)
      const lastIsFirst = next[i - 1]
      for (let u = 0; u < lastIsFirst.length; u++) shares[u + j] += (lastIsFirst[u] * i) / (i + j)
      const lastIsSecond = row[i]
      for (let u = 0; u < lastIsSecond.length; u++) shares[u] += (lastIsSecond[u] * j) / (i + j)
      next.push(shares)
    }
    row = next
  }
  return row[m]
}

function convolve(a: Float64Array, b: Float64Array): Float64Array {
  const sum = new Float64Array(a.length + b.length - 1)
  for (let i = 0; i < a.length; i++) {
    if (a[i] === 0) continue
    for (let j = 0; j < b.length; j++) sum[i + j] += a[i] * b[j]
  }
  return sum
}
