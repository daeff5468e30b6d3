import { describe, expect, it } from 'vitest'
import {
  curveWithin,
  levelRange,
  levelWithin,
  normalisingShiftDb,
} from '../../../../../renderer/places/mics/curves/curve-levels.ts'

const curve = { frequenciesHz: [100, 1000, 10_000], levelsDb: [-12, 0, 6] }

describe('curve levels', () => {
  it('fit all curves into a range in steps of 5 dB', () => {
    expect(levelRange([], [])).toEqual({ lowDb: -10, highDb: 10 })
    expect(levelRange([curve], [0])).toEqual({ lowDb: -15, highDb: 10 })
    expect(levelRange([curve], [6])).toEqual({ lowDb: -10, highDb: 15 })
  })
  it('are null where the curve has no data', () => {
    expect([99, 100, 1000, 10_000, 10_010].map((hz) => levelWithin(curve, hz))).toEqual([
      null,
      -12,
      0,
      6,
      null,
    ])
    expect(levelWithin({ frequenciesHz: [], levelsDb: [] }, 1000)).toBeNull()
    expect(curveWithin(curve, 900, 20_000)).toEqual({ frequenciesHz: [1000, 10_000], levelsDb: [0, 6] })
  })
  it('keep the range within its limit', () => {
    const deep = { frequenciesHz: [20, 1000, 10_000], levelsDb: [-118, 0, 6] }
    expect(levelRange([deep], [0])).toEqual({ lowDb: -60, highDb: 10 })
    expect(levelRange([deep], [0], 3, 6)).toEqual({ lowDb: -6, highDb: 6 })
  })
})

describe('normalisation to 0 dB', () => {
  it('is off, at a frequency, or by the mean over a range of log frequency', () => {
    expect(normalisingShiftDb(curve, { kind: 'off' })).toBe(0)
    expect(normalisingShiftDb(curve, { kind: 'at', frequencyHz: 100 })).toBe(12)
    // Straight from 0 dB at 1 kHz to 6 dB at 10 kHz over log f: the mean is 3 dB.
    expect(normalisingShiftDb(curve, { kind: 'over', fromHz: 1000, toHz: 10_000 })).toBeCloseTo(-3, 9)
    // -12 to 0 over one decade and 0 to 6 over the next: (-6 + 3) / 2.
    expect(normalisingShiftDb(curve, { kind: 'over', fromHz: 20, toHz: 20_000 })).toBeCloseTo(1.5, 9)
  })
  it('uses the part of a range that has data, or the nearest point', () => {
    expect(normalisingShiftDb(curve, { kind: 'over', fromHz: 20, toHz: 100 })).toBe(12)
    expect(normalisingShiftDb(curve, { kind: 'over', fromHz: 12_000, toHz: 20_000 })).toBe(-6)
  })
})
