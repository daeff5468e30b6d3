import { expect, it } from 'vitest'
import { createInterpolator, GROUP_FRAMES } from '../../../app/dsp/meters/true-peak-interpolator.ts'
import { hissedLine } from '../../signals/fricatives.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { createIntervalPeaks } from './interval-peaks.ts'

const LIMIT = 0.4

it.each([
  ['a voice', hissedLine(2, 48_000, 6, { vowelPeak: 0.5, hissRms: 0.15 }).samples.subarray(0, 20_000)],
  ['noise', whiteNoise(20_000, 6, 0.42)],
])(
  'what is skipped in %s is under the limit, and every peak above it is the one of full interpolation',
  (_, samples) => {
    const peaks = new Float64Array(samples.length)
    const search = createIntervalPeaks(8, LIMIT, 1000)
    for (let from = 0; from < samples.length; from += 1000) {
      search.run(samples.subarray(from, from + 1000), peaks.subarray(from, from + 1000), 1000, true)
    }
    const interpolator = createInterpolator(8)
    let above = 0
    for (let n = GROUP_FRAMES; n < samples.length - GROUP_FRAMES - 1; n++) {
      const peak = interpolator.intervalPeak(samples, n)
      const found = peaks[n + GROUP_FRAMES]
      if (peak > LIMIT) {
        above++
        expect(found).toBe(peak)
      } else expect(found).toBeLessThanOrEqual(LIMIT)
    }
    expect(above).toBeGreaterThan(20)
  },
)
