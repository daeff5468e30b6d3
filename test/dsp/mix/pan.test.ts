import { describe, expect, it } from 'vitest'
import { balanceGains, type PanLaw, panGains } from '../../../app/dsp/mix/pan.ts'

const db = (gain: number) => 20 * Math.log10(gain)

// Levels per side worked out from the usual definitions apart from this program:
// equal power (sine and cosine), linear, and the geometric mean of the two.
const LEVELS: [law: PanLaw, position: number, leftDb: number, rightDb: number, tolerance: number][] = [
  ['minus-3-db', 0, -3.0103, -3.0103, 1e-4],
  ['minus-3-db', 0.25, -5.105, -1.603, 1e-3],
  ['minus-3-db', 0.5, -8.343, -0.6877, 1e-3],
  ['minus-4.5-db', 0, -4.5154, -4.5154, 1e-4],
  ['minus-4.5-db', 0.5, -10.192, -1.593, 1e-3],
  ['minus-6-db', 0, -6.0206, -6.0206, 1e-4],
  ['minus-6-db', 0.5, -12.041, -2.499, 1e-3],
]

describe('pan law', () => {
  it.each(LEVELS)('%s at %d: left %d dB, right %d dB', (law, position, leftDb, rightDb, tolerance) => {
    const [left, right] = panGains(position, law)
    expect(Math.abs(db(left) - leftDb)).toBeLessThan(tolerance)
    expect(Math.abs(db(right) - rightDb)).toBeLessThan(tolerance)
    const [mirroredLeft, mirroredRight] = panGains(-position, law)
    expect(mirroredLeft).toBeCloseTo(right, 12)
    expect(mirroredRight).toBeCloseTo(left, 12)
  })

  it('keeps left^2 + right^2 = 1 at -3 dB, and left + right = 1 at -6 dB', () => {
    for (let position = -1; position <= 1; position += 0.125) {
      const [left, right] = panGains(position, 'minus-3-db')
      expect(left * left + right * right).toBeCloseTo(1, 12)
      const [linearLeft, linearRight] = panGains(position, 'minus-6-db')
      expect(linearLeft + linearRight).toBeCloseTo(1, 12)
    }
  })

  it.each(['minus-3-db', 'minus-4.5-db', 'minus-6-db'] as const)(
    '%s: hard sides are 1 and exactly 0',
    (law) => {
      expect(panGains(-1, law)).toEqual([1, 0])
      expect(panGains(1, law)).toEqual([0, 1])
    },
  )
})

describe('balance of a stereo layer', () => {
  it('changes nothing at the centre and mutes one side at the ends', () => {
    expect(balanceGains(0)).toEqual([1, 1])
    expect(balanceGains(-1)).toEqual([1, 0])
    expect(balanceGains(1)).toEqual([0, 1])
  })

  it('never lifts a side', () => {
    for (let position = -1; position <= 1; position += 0.125) {
      const [left, right] = balanceGains(position)
      expect(position > 0 ? right : left).toBe(1)
      expect(position > 0 ? left : right).toBeLessThanOrEqual(1)
    }
  })
})
