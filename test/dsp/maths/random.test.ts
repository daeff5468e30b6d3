import { describe, expect, it } from 'vitest'
import { createRandom, createXoshiro } from '../../../app/dsp/maths/random.ts'

describe('xoshiro128**', () => {
  it('gives the published sequence for the state 1, 2, 3, 4 (test vector of the rand_xoshiro crate)', () => {
    const next = createXoshiro([1, 2, 3, 4])
    expect(Array.from({ length: 10 }, next)).toEqual([
      11520, 0, 5927040, 70819200, 2031721883, 1637235492, 1287239034, 3734860849, 3729100597, 4258142804,
    ])
  })
})

describe('seeded random numbers', () => {
  const COUNT = 400_000

  it('are even: mean 1/2, variance 1/12, no correlation with the next (5 standard errors)', () => {
    const random = createRandom(7)
    let sum = 0
    let squares = 0
    let products = 0
    let last = 0
    let least = 1
    let greatest = 0
    for (let i = 0; i < COUNT; i++) {
      const value = random.uniform()
      least = Math.min(least, value)
      greatest = Math.max(greatest, value)
      sum += value - 0.5
      squares += (value - 0.5) ** 2
      products += (value - 0.5) * last
      last = value - 0.5
    }
    expect(least).toBeGreaterThanOrEqual(0)
    expect(greatest).toBeLessThan(1)
    const standardError = 1 / Math.sqrt(12 * COUNT)
    expect(Math.abs(sum / COUNT)).toBeLessThan(5 * standardError)
    // Fourth moment 1/80: the squares vary by 1/80 - 1/144.
    expect(Math.abs(squares / COUNT - 1 / 12)).toBeLessThan(5 * Math.sqrt((1 / 80 - 1 / 144) / COUNT))
    expect(Math.abs(products / COUNT)).toBeLessThan((5 * (1 / 12)) / Math.sqrt(COUNT))
  })

  it('are normal: moments 0, 1, 0, 3, and 4.55 % beyond two standard deviations', () => {
    const random = createRandom(8)
    const moments = [0, 0, 0, 0]
    let beyond = 0
    for (let i = 0; i < COUNT; i++) {
      const value = random.normal()
      for (let m = 0; m < 4; m++) moments[m] += value ** (m + 1) / COUNT
      if (Math.abs(value) > 2) beyond++
    }
    const error = 5 / Math.sqrt(COUNT)
    expect(Math.abs(moments[0])).toBeLessThan(error)
    expect(Math.abs(moments[1] - 1)).toBeLessThan(error * Math.sqrt(2))
    expect(Math.abs(moments[2])).toBeLessThan(error * Math.sqrt(15))
    expect(Math.abs(moments[3] - 3)).toBeLessThan(error * Math.sqrt(96))
    expect(Math.abs(beyond / COUNT - 0.0455)).toBeLessThan(error * Math.sqrt(0.0455))
  })

  it('repeat for the same seed and differ for its neighbour', () => {
    const draw = (seed: number) => {
      const random = createRandom(seed)
      return Array.from({ length: 20 }, () => [random.uniform(), random.normal()])
    }
    expect(draw(3)).toEqual(draw(3))
    expect(draw(3)).not.toEqual(draw(4))
  })
})
