import { expect, it } from 'vitest'
import { whiteNoise } from '../../signals/noise.ts'
import { createBoxSmoother } from './box-smoother.ts'

it.each([1, 2, 72, 961])(
  'window %d: weights are 0 or more, sum to 1 and reach over the window alone',
  (window) => {
    const weights = new Float64Array(2 * window + 10)
    weights[0] = 1
    createBoxSmoother(window).run(weights, weights.length)
    expect(weights.every((x) => x >= 0)).toBe(true)
    expect(weights.reduce((sum, x) => sum + x, 0)).toBeCloseTo(1, 12)
    expect(weights.findLastIndex((x) => x > 0)).toBe(window - 1)
  },
)

it('goes back to exactly 0 after a million values, and to exactly 1 on a constant 1', () => {
  const smoother = createBoxSmoother(96)
  const noise = whiteNoise(1000, 8).map((x) => x * x)
  for (let k = 0; k < 1000; k++) smoother.run(noise.slice(), 1000)
  const rest = new Float64Array(200)
  smoother.run(rest, 200)
  expect(rest.subarray(95).every((x) => x === 0)).toBe(true)
  const ones = new Float64Array(200).fill(1)
  smoother.run(ones, 200)
  expect(ones[199]).toBeCloseTo(1, 15)
})
