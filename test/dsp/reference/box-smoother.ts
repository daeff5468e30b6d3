// Two running means one after the other: a smooth, never overshooting low-pass whose
// taps are 0 or more and sum to 1. The sums run over whole numbers (parts of 2^-30,
// rounded up), which doubles add and subtract exactly: no drift, and 0 stays 0.

import { boxLengths } from '../../../app/dsp/stages/ceiling-design.ts'

const PARTS = 2 ** 30

export interface BoxSmoother {
  readonly memory: readonly Float64Array[]
  /**
   * Smooths values from 0 to 1 in place. Each result is a weighted mean of the last
   * `window` values, high by 2^-30 at most.
   */
  run(values: Float64Array, frames: number): void
}

/** @param window length of the two together, 1 to 4096 */
export function createBoxSmoother(window: number): BoxSmoother {
  const [firstLength, secondLength] = boxLengths(window)
  const first = new Float64Array(firstLength)
  const second = new Float64Array(secondLength)
  // Both sums and both positions.
  const state = new Float64Array(4)
  const scale = 1 / (firstLength * secondLength * PARTS)
  return {
    memory: [first, second, state],
    run(values, frames) {
      let firstSum = state[0]
      let secondSum = state[1]
      // As whole numbers: doubles index slowly.
      let firstAt = state[2] | 0
      let secondAt = state[3] | 0
      for (let i = 0; i < frames; i++) {
        const parts = Math.ceil(values[i] * PARTS)
        firstSum += parts - first[firstAt]
        first[firstAt] = parts
        firstAt = firstAt + 1 === firstLength ? 0 : firstAt + 1
        secondSum += firstSum - second[secondAt]
        second[secondAt] = firstSum
        secondAt = secondAt + 1 === secondLength ? 0 : secondAt + 1
        values[i] = secondSum * scale
      }
      state[0] = firstSum
      state[1] = secondSum
      state[2] = firstAt
      state[3] = secondAt
    },
  }
}
