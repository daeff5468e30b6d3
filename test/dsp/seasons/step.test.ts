import { describe, expect, it } from 'vitest'
import { stepOf } from '../../../app/dsp/seasons/step.ts'

function* ordersOf(values: readonly number[]): Generator<number[]> {
  if (values.length < 2) yield [...values]
  for (const [i, first] of values.entries()) {
    if (values.length < 2) return
    for (const rest of ordersOf(values.toSpliced(i, 1))) yield [first, ...rest]
  }
}

describe('a step between two sessions', () => {
  it('is at the best split, with the difference of the medians', () => {
    const step = stepOf([1, 1.2, 0.9, 1.1, 5, 5.2, 4.9, 5.1, 5.3])!
    expect(step.at).toBe(4)
    expect(step.difference).toBeCloseTo(5.1 - 1.05, 12)
  })

  it('cannot be found among six: 2 of the 20 ways to choose three of six are as clear', () => {
    expect(stepOf([1, 2, 3, 11, 12, 13])!.p).toBeCloseTo(2 / 20, 2)
    expect(stepOf([1, 2, 3, 4, 5])).toBeNull()
  })

  it('has the probability of listing all orders of seven', () => {
    // Wilcoxon's rank sum (Hollander and Wolfe, Nonparametric Statistical Methods, section 4.1) of each split.
    const clearness = (order: readonly number[]): number =>
      Math.max(
        ...[3, 4].map((n) => {
          const sum = order.slice(0, n).reduce((all, rank) => all + rank, 0)
          return Math.abs(sum - (n * 8) / 2) / Math.sqrt((n * (7 - n) * 8) / 12)
        }),
      )
    const orders = [...ordersOf([1, 2, 3, 4, 5, 6, 7])].map(clearness)
    expect(orders).toHaveLength(5040)
    for (const values of [
      [1, 2, 3, 4, 5, 6, 7],
      [2, 1, 4, 3, 7, 5, 6],
      [5, 2, 7, 1, 4, 6, 3],
    ]) {
      const exact = orders.filter((one) => one >= clearness(values) - 1e-9).length / orders.length
      expect(Math.abs(stepOf(values)!.p - exact)).toBeLessThan(0.012)
    }
  })

  it('is given the same probability every time', () => {
    const values = [3, 1, 4, 1, 5, 9, 2, 6, 5, 3, 5]
    expect(stepOf(values)).toEqual(stepOf(values))
  })
})
