import { describe, expect, it } from 'vitest'
import { AXIS_FREQUENCIES_HZ, alongAxis, levelAt, levelRange } from '../../../renderer/mics/curve-axes.ts'

const curve = { frequenciesHz: [100, 1000, 10_000], levelsDb: [-12, 0, 6] }

describe('the axes of a curve', () => {
  it('give each decade a third of the width from 20 Hz to 20 kHz', () => {
    expect([20, 200, 2000, 20_000].map(alongAxis)).toEqual([
      0,
      expect.closeTo(1 / 3, 12),
      expect.closeTo(2 / 3, 12),
      1,
    ])
  })
  it('rule the 31 preferred frequencies of ISO 266:1997 from 20 Hz to 20 kHz', () => {
    expect(AXIS_FREQUENCIES_HZ).toHaveLength(31)
  })
  it('read a curve straight on a log axis and level beyond its ends', () => {
    expect(levelAt(curve, 100 * Math.sqrt(10))).toBeCloseTo(-6, 9)
    expect(levelAt(curve, 1000)).toBe(0)
    expect(levelAt(curve, 20)).toBe(-12)
    expect(levelAt(curve, 20_000)).toBe(6)
  })
  it('hold every curve in whole steps of 5 dB', () => {
    expect(levelRange([], [])).toEqual({ lowDb: -10, highDb: 10 })
    expect(levelRange([curve], [0])).toEqual({ lowDb: -15, highDb: 10 })
    expect(levelRange([curve], [6])).toEqual({ lowDb: -10, highDb: 15 })
  })
})
