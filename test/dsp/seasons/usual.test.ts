import { describe, expect, it } from 'vitest'
import { isUnusual, medianOf, usualValueOf } from '../../../app/dsp/seasons/usual.ts'

describe('the usual value', () => {
  it('has the median and the scaled median absolute deviation of SciPy 1.17', () => {
    // scipy.stats.median_abs_deviation([...], scale='normal') = 0.29652044
    const usual = usualValueOf([1.2, 1.9, 2.1, 2.0, 1.7, 9.0], 0)!
    expect(usual.median).toBeCloseTo(1.95, 12)
    expect(usual.spread).toBeCloseTo(0.296_520_4, 5)
  })

  it('is not under the floor, and needs four sessions', () => {
    expect(usualValueOf([1, 1, 1], 2)).toBeNull()
    expect(usualValueOf([1, 1, 1, 1], 2)).toEqual({ sessions: 4, median: 1, spread: 2 })
  })

  it('is left by more than 3.5 spreads', () => {
    const usual = usualValueOf([0, 0, 0, 0], 2)!
    expect(isUnusual(7, usual)).toBe(false)
    expect(isUnusual(7.01, usual)).toBe(true)
    expect(isUnusual(-7.01, usual)).toBe(true)
  })

  it('refuses the median of nothing', () => {
    expect(() => medianOf([])).toThrow(RangeError)
  })
})
