import { expect, it } from 'vitest'
import { whiteNoise } from '../../signals/noise.ts'
import { createSlidingMaximum } from './sliding-maximum.ts'

it.each([1, 2, 3, 72, 500])('the greatest of the last %d values, as a plain search finds it', (window) => {
  const values = whiteNoise(3000, window).map((x) => Math.max(0, Math.round(20 * x) / 10))
  const found = values.slice()
  const maximum = createSlidingMaximum(window)
  maximum.run(found.subarray(0, 1), 1)
  maximum.run(found.subarray(1, 1400), 1399)
  maximum.run(found.subarray(1400), 1600)
  for (let n = 0; n < values.length; n++) {
    expect(found[n]).toBe(Math.max(...values.subarray(Math.max(0, n - window + 1), n + 1)))
  }
})
