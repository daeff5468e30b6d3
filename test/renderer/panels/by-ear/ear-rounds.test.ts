import { describe, expect, it } from 'vitest'
import { createRandom } from '../../../../app/dsp/maths/random.ts'
import { choose, isOrderShown, newRounds, nextRound } from '../../../../renderer/panels/by-ear/ear-rounds.ts'

const seeded = (seed: number): (() => number) => createRandom(seed).uniform

describe('rounds of a comparison by ear', () => {
  it('keeps the order and shows it where nothing is hidden', () => {
    const rounds = newRounds(3, false, seeded(1))
    expect(rounds.order).toEqual([0, 1, 2])
    expect(isOrderShown(rounds)).toBe(true)
  })

  it('hides the order until one is chosen, counts by version and not by button, and hides it again', () => {
    const random = seeded(2)
    let rounds = newRounds(4, true, random)
    const wanted = [0, 0, 0, 0]
    for (let round = 0; round < 40; round++) {
      expect(isOrderShown(rounds)).toBe(false)
      const button = round % 4
      wanted[rounds.order[button]]++
      rounds = choose(rounds, button)
      expect(isOrderShown(rounds)).toBe(true)
      // A second choice in the same round changes nothing.
      expect(choose(rounds, (button + 1) % 4)).toBe(rounds)
      rounds = nextRound(rounds, random)
    }
    expect(rounds.counts).toEqual(wanted)
  })

  it('draws every order equally often (chi-square, 23 degrees of freedom: 49.7 at 0.1 %, handbook table)', () => {
    const random = seeded(3)
    const drawn = new Map<string, number>()
    const rounds = 24_000
    for (let round = 0; round < rounds; round++) {
      const key = newRounds(4, true, random).order.join('')
      drawn.set(key, (drawn.get(key) ?? 0) + 1)
    }
    expect(drawn.size).toBe(24)
    const expected = rounds / 24
    const chiSquare = [...drawn.values()].reduce((sum, n) => sum + (n - expected) ** 2 / expected, 0)
    expect(chiSquare).toBeLessThan(49.7)
  })
})
