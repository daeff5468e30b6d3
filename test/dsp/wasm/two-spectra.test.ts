// The kernel that transforms two frames at once against the transform of one: the same bits.

import { describe, expect, it } from 'vitest'
import { createRealFft } from '../../../app/dsp/maths/fft.ts'
import { twoSpectraOf } from '../../../app/dsp/wasm/two-spectra.ts'
import { whiteNoise } from '../../signals/noise.ts'

const SHAPES = {
  sine: (n: number, points: number) => Math.sin((Math.PI * (n + 0.5)) / points),
  hann: (n: number, points: number) => 0.5 - 0.5 * Math.cos((2 * Math.PI * n) / points),
}

describe('two spectra at once', () => {
  it.each([4, 8, 16, 64, 512, 2048, 4096, 8192, 32_768])('of %d points are those of each alone', (points) => {
    for (const window of ['sine', 'hann'] as const) {
      const spectra = twoSpectraOf(points, window)
      const sound = whiteNoise(points + 100, 1, 0.7)
      spectra.measure(sound, 0, sound, 100)
      for (const [which, from] of [0, 100].entries()) {
        const windowed = sound
          .slice(from, from + points)
          .map((sample, n) => sample * SHAPES[window](n, points))
        const re = new Float64Array(points / 2 + 1)
        const im = new Float64Array(points / 2 + 1)
        createRealFft(points).transform(windowed, re, im)
        const of = (both: Float64Array): number[] => [...both].filter((_, i) => i % 2 === which)
        expect(of(spectra.re)).toEqual([...re])
        expect(of(spectra.im)).toEqual([...im])
        expect(of(spectra.squares)).toEqual([...re].map((x, k) => x * x + im[k] * im[k]))
        spectra.sumBins(1, points / 2)
        expect(spectra.sums[which]).toBe(
          [...re].reduce((sum, x, k) => (k === 0 ? 0 : sum + (x * x + im[k] * im[k])), 0),
        )
      }
    }
  })
})
