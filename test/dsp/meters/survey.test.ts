// The meters' kernels for minimum, maximum, sum and search, against Math.min, Math.max and findIndex: at
// every position of a SIMD vector, at both ends of a span, and with NaN.

import { describe, expect, it } from 'vitest'
import { type Survey, surveySamples } from '../../../app/dsp/meters/survey.ts'
import { copyIn, createWorkRows, kernels } from '../../../app/dsp/wasm/kernels.ts'
import { whiteNoise } from '../../signals/noise.ts'

const surveyed = (samples: Float64Array, from = 0, end = samples.length): Survey => {
  const survey = { lowest: 0, highest: 0, sum: 0 }
  surveySamples(samples, from, end, survey)
  return survey
}

describe('surveySamples', () => {
  it.each([1, 2, 3, 4, 5, 8, 1023, 1024, 1025, 2050, 7001])(
    'finds the minimum, maximum and sum of %d samples',
    (count) => {
      const samples = whiteNoise(count + 10, count, 0.9)
      const span = samples.subarray(7, 7 + count)
      const { lowest, highest, sum } = surveyed(samples, 7, 7 + count)
      expect(lowest).toBe(Math.min(...span))
      expect(highest).toBe(Math.max(...span))
      expect(sum).toBeCloseTo(
        span.reduce((total, sample) => total + sample, 0),
        9,
      )
    },
  )

  it('finds an extreme at any position', () => {
    for (let place = 0; place < 13; place++) {
      const samples = new Float64Array(13).fill(0.25)
      samples[place] = -2
      expect(surveyed(samples)).toMatchObject({ lowest: -2, highest: 0.25 })
      samples[place] = 3
      expect(surveyed(samples)).toMatchObject({ lowest: 0.25, highest: 3 })
    }
  })

  it('gives a sum of NaN for NaN at any position', () => {
    for (let place = 0; place < 13; place++) {
      const samples = new Float64Array(13)
      samples[place] = Number.NaN
      expect(surveyed(samples).sum).toBeNaN()
    }
  })
})

it.each([1, -1])('indexReaching finds the first sample that reaches a threshold, with sign %d', (sign) => {
  const row = createWorkRows().row(200)
  const samples = whiteNoise(200, 5, 1)
  for (const threshold of [0.5, 0.9, 0.99, 2]) {
    for (let from = 0; from <= 100; from++) {
      const end = 200 - (from % 9)
      copyIn(samples, row, 200)
      const wanted = samples.findIndex((sample, n) => n >= from && n < end && sign * sample >= threshold)
      expect(kernels.indexReaching(row, from, end, sign, threshold)).toBe(wanted < 0 ? end : wanted)
    }
  }
})
