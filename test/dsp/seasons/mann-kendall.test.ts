import { describe, expect, it } from 'vitest'
import { trendOf } from '../../../app/dsp/seasons/mann-kendall.ts'

const points = (values: readonly number[]) => values.map((value, at) => ({ at, value }))

/** A series of different values whose S is as given: falling values, of which the last are moved to the front. */
function seriesWith(count: number, s: number): number[] {
  const order = Array.from({ length: count }, (_, i) => i)
  let falls = ((count * (count - 1)) / 2 - s) / 2
  // Each exchange of neighbours that rise adds one fall.
  while (falls > 0) {
    const i = order.findIndex((value, at) => at + 1 < count && value < order[at + 1]!)
    const moved = order[i]!
    order[i] = order[i + 1]!
    order[i + 1] = moved
    falls--
  }
  return order
}

describe('the exact test of Mann and Kendall', () => {
  // Upper tail probabilities of S: Kendall, Rank Correlation Methods, 4th edition 1975, appendix table 1; also
  // Gilbert, Statistical Methods for Environmental Pollution Monitoring, 1987, table A18.
  it.each([
    [4, 4, 0.167],
    [4, 6, 0.042],
    [5, 8, 0.042],
    [5, 10, 0.0083],
    [6, 11, 0.028],
    [6, 13, 0.0083],
    [6, 15, 0.0014],
    [7, 17, 0.0054],
    [8, 16, 0.031],
    [8, 20, 0.0071],
    [8, 24, 0.00087],
    [9, 20, 0.022],
    [10, 21, 0.036],
    [10, 27, 0.0083],
  ])('gives for %i sessions with S = %i the probability %f of the tables', (count, s, p) => {
    for (const sign of [1, -1]) {
      const trend = trendOf([points(seriesWith(count, s).map((value) => sign * value))])!
      expect(trend.s).toBe(sign * s)
      expect(trend.p / 2).toBeCloseTo(p, p < 0.001 ? 5 : p < 0.01 ? 4 : 3)
    }
  })

  it('counts equal values as neither: exact over all orders', () => {
    // By listing all 720 orders (Python 3, itertools): P(|S| >= 8) = 0.188889.
    const trend = trendOf([points([3.1, 2.4, 4.0, 4.0, 3.9, 5.2])])!
    expect(trend.s).toBe(8)
    expect(trend.p).toBeCloseTo(0.188_889, 6)
  })

  it('agrees with SciPy 1.17 (kendalltau exact, theilslopes)', () => {
    const trend = trendOf([points([3.1, 2.4, 4.0, 4.4, 3.9, 5.2, 5.0, 6.1])])!
    expect(trend.p).toBeCloseTo(0.014_136_904_761_9, 10)
    expect(trend.slope).toBeCloseTo(0.426_785_714_285_7, 10)
    expect(trend.change).toBeCloseTo(7 * 0.426_785_714_285_7, 9)
  })

  it('compares sessions only within their stratum', () => {
    const step = [0, 0.1, -0.1, 0.05, 8, 8.1, 7.9, 8.05].map((value, at) => ({ at, value }))
    expect(trendOf([step])!.p).toBeLessThan(0.15)
    const within = trendOf([step.slice(0, 4), step.slice(4)])!
    expect(within.s).toBe(0)
    expect(within.p).toBeCloseTo(1, 12)
    // Two strata of four rising values: 1/24 each (tables), together both rise or both fall.
    const rising = trendOf([points([1, 2, 3, 4]), points([11, 12, 13, 14])])!
    expect(rising.p).toBeCloseTo(2 / 24 ** 2, 12)
  })

  it('has no trend of nothing, and stays exact with many sessions', () => {
    expect(trendOf([[{ at: 0, value: 1 }]])).toBeNull()
    // SciPy's exact distribution ends where the sums of this one go on; a rising series has 2 / n!, here under 1e-12.
    const many = trendOf([points(Array.from({ length: 200 }, (_, i) => i))])!
    expect(many.p).toBeGreaterThanOrEqual(0)
    expect(many.p).toBeLessThan(1e-12)
  })
})
