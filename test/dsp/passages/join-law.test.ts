import { describe, expect, it } from 'vitest'
import { gainAtRise, riseAt } from '../../../app/dsp/passages/join-law.ts'

const db = (ratio: number) => 20 * Math.log10(ratio)

describe('the law of a join', () => {
  it('is a raised cosine, alike from both ends', () => {
    for (const frames of [1, 2, 96, 4801]) {
      for (let n = 0; n < frames; n++) {
        expect(riseAt(n, frames)).toBeCloseTo(Math.sin(((n + 0.5) * Math.PI) / (2 * frames)) ** 2, 12)
        expect(riseAt(n, frames) + riseAt(frames - 1 - n, frames)).toBeCloseTo(1, 12)
      }
    }
  })

  it('keeps the power of two sounds of any correlation, by the variance of a sum', () => {
    for (let r = 0; r <= 1; r += 0.05) {
      for (let s = 0; s <= 1; s += 0.01) {
        const [a, b] = [gainAtRise(1 - s, r), gainAtRise(s, r)]
        expect(a * a + b * b + 2 * r * a * b).toBeCloseTo(1, 12)
      }
    }
  })

  it('is equal power at correlation 0 and equal gain at 1', () => {
    expect(db(gainAtRise(0.5, 0))).toBeCloseTo(-3.0103, 4)
    expect(db(gainAtRise(0.5, 1))).toBeCloseTo(-6.0206, 4)
    expect(gainAtRise(0.3, 1)).toBe(0.3)
    expect([gainAtRise(0, 0.4), gainAtRise(1, 0.4)]).toEqual([0, 1])
  })
})
