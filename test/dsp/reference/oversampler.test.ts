import { describe, expect, it } from 'vitest'
import type { OversamplingFactor } from '../../../app/dsp/conversion/oversampling-design.ts'
import { greatestLevelDb, sineAmplitude, spectrumOf } from '../../signals/spectra.ts'
import { tone } from '../../signals/tones.ts'
import { createOversampler } from './oversampler.ts'

const BLOCK = 1000

function upAndDown(factor: OversamplingFactor, sampleRateHz: number, samples: Float64Array) {
  const oversampler = createOversampler(factor, sampleRateHz)
  const rising = new Float64Array(oversampler.riseMemoryLength)
  const falling = new Float64Array(oversampler.fallMemoryLength)
  const high = new Float64Array(samples.length * factor)
  const low = new Float64Array(samples.length)
  for (let from = 0; from + BLOCK <= samples.length; from += BLOCK) {
    const part = high.subarray(from * factor, (from + BLOCK) * factor)
    oversampler.rise(samples.subarray(from, from + BLOCK), part, rising, BLOCK)
    oversampler.fall(part, low.subarray(from, from + BLOCK), falling, BLOCK)
  }
  return { high, low, latencySamples: oversampler.latencySamples }
}

describe.each([4, 8, 16] as const)('oversampling by %d', (factor) => {
  it.each([
    [44_100, 19_900],
    [48_000, 20_000],
    [96_000, 40_000],
  ])('at %d Hz is flat within 0.001 dB up to %d Hz', (sampleRateHz, highestHz) => {
    for (const frequencyHz of [20, 1000, 0.5 * highestHz, highestHz]) {
      const { low } = upAndDown(factor, sampleRateHz, tone(30_000, sampleRateHz, frequencyHz, 1))
      expect(Math.abs(20 * Math.log10(sineAmplitude(low, frequencyHz, sampleRateHz)))).toBeLessThan(0.001)
    }
  })

  it.each([997, 5000, 15_000, 19_900])('leaves no image of %d Hz above -100 dB', (frequencyHz) => {
    const { high } = upAndDown(factor, 48_000, tone(20_000, 48_000, frequencyHz, 1))
    const spectrum = spectrumOf(high.subarray(high.length - 2 ** 15 * (factor / 4)), 48_000 * factor)
    expect(greatestLevelDb(spectrum, [frequencyHz])).toBeLessThan(-100)
  })

  it('takes what lies above 25 kHz at least 100 dB down on the way back', () => {
    const oversampler = createOversampler(factor, 48_000)
    for (const frequencyHz of [25_000, 27_123, 43_000, 67_000, 95_000]) {
      const falling = new Float64Array(oversampler.fallMemoryLength)
      const high = tone(1000 * factor, 48_000 * factor, frequencyHz, 1)
      const low = new Float64Array(1000)
      oversampler.fall(high, low, falling, 1000)
      expect(
        20 * Math.log10(low.subarray(300).reduce((most, x) => Math.max(most, Math.abs(x)), 0)),
      ).toBeLessThan(-100)
    }
  })

  it.each([44_100, 48_000, 88_200])(
    'at %d Hz is late by exactly the whole number it reports',
    (sampleRateHz) => {
      const input = tone(20_000, sampleRateHz, 1000, 1)
      const { low, latencySamples } = upAndDown(factor, sampleRateHz, input)
      expect(Number.isInteger(latencySamples)).toBe(true)
      for (let n = 5000; n < 19_000; n++)
        expect(Math.abs(low[n] - input[n - latencySamples])).toBeLessThan(1e-4)
    },
  )
})
