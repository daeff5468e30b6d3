import { expect, it } from 'vitest'
import { mixIntoLane } from '../../../app/dsp/mix/mix-into-lane.ts'
import { whiteNoise } from '../../signals/noise.ts'

it('adds mono and stereo sounds with their gains, in their order, over whatever was there', () => {
  const [a, b, c] = [1, 2, 3].map((seed) => whiteNoise(777, seed, 0.5))
  const lane = [new Float64Array(777).fill(9), new Float64Array(777).fill(9)]
  mixIntoLane(
    [
      { channels: [a], leftGain: 0.3, rightGain: -0.7 },
      { channels: [b, c], leftGain: 1.1, rightGain: 0.2 },
    ],
    lane,
    776,
  )
  for (let n = 0; n < 776; n++) {
    expect(lane[0][n]).toBe(a[n] * 0.3 + b[n] * 1.1)
    expect(lane[1][n]).toBe(a[n] * -0.7 + c[n] * 0.2)
  }
  expect(lane[0][776]).toBe(9)
})
