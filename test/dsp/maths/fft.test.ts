import FFT from 'fft.js'
import { describe, expect, it } from 'vitest'
import { createRealFft } from '../../../app/dsp/maths/fft.ts'
import { toneCluster } from '../../signals/tones.ts'

function ours(signal: Float64Array): { re: Float64Array; im: Float64Array } {
  const re = new Float64Array(signal.length / 2 + 1)
  const im = new Float64Array(signal.length / 2 + 1)
  createRealFft(signal.length).transform(signal, re, im)
  return { re, im }
}

describe('real Fourier transform', () => {
  it.each([4, 8, 16, 64, 128])('of %d points is the sum of its definition', (size) => {
    const signal = toneCluster(size, 1, 0.01, 0.49, 9, 1)
    const { re, im } = ours(signal)
    for (let k = 0; k <= size / 2; k++) {
      let sumRe = 0
      let sumIm = 0
      for (let n = 0; n < size; n++) {
        sumRe += signal[n] * Math.cos((2 * Math.PI * k * n) / size)
        sumIm -= signal[n] * Math.sin((2 * Math.PI * k * n) / size)
      }
      expect(re[k]).toBeCloseTo(sumRe, 11)
      expect(im[k]).toBeCloseTo(sumIm, 11)
    }
  })

  it.each([256, 512, 2048, 8192])('of %d points agrees with fft.js to 1e-10', (size) => {
    const signal = toneCluster(size, 48000, 37, 23950, 41, 1)
    const before = signal.slice()
    const { re, im } = ours(signal)
    const library = new FFT(size)
    const spectrum = library.createComplexArray()
    library.realTransform(spectrum, Array.from(signal))
    for (let k = 0; k <= size / 2; k++) {
      expect(Math.abs(re[k] - spectrum[2 * k])).toBeLessThan(1e-10)
      expect(Math.abs(im[k] - spectrum[2 * k + 1])).toBeLessThan(1e-10)
    }
    expect(signal).toEqual(before)
  })

  it('refuses lengths that are no power of two', () => {
    for (const size of [0, 2, 3, 1000, 2048.5]) expect(() => createRealFft(size)).toThrow(RangeError)
  })
})
