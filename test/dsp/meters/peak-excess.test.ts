// The second look at a ceiling, against ideal interpolation by fft.js (oversampled-peak.ts).

import { describe, expect, it } from 'vitest'
import { createPeakExcessMeter } from '../../../app/dsp/meters/peak-excess.ts'
import { hissedLine } from '../../signals/fricatives.ts'
import { hostileSignals } from '../../signals/hostile.ts'
import { oversampledPeak } from '../../signals/oversampled-peak.ts'
import { fadeEnds, feed, tone } from '../../signals/tones.ts'

const FS = 48_000

function peakOf(channels: readonly Float64Array[], limit: number, blockFrames?: number): number {
  const meter = createPeakExcessMeter(channels.length, limit)
  feed(meter.add, channels, blockFrames)
  return meter.finish()
}

const db = (ratio: number) => 20 * Math.log10(ratio)

describe('peaks above a limit', () => {
  // BS.1770-5 Annex 2 Attachment 1: at 16 times, 0.034 dB at 0.45 of the rate and 0.042 dB at a half.
  it.each([
    [997, 0.001],
    [12_000, 0.012],
    [21_600, 0.034],
    [23_500, 0.042],
  ])('a sine of %d Hz is read within %d dB below, and not above', (frequencyHz, underDb) => {
    // Its own peak between the samples, whatever the phase.
    const sine = fadeEnds(tone(FS, FS, frequencyHz, 0.5, 33), FS, 200)
    const errorDb = db(peakOf([sine], 0.1) / 0.5)
    expect(errorDb).toBeGreaterThan(-underDb)
    expect(errorDb).toBeLessThan(0.005)
  })

  it('a swell at 0.495 of the rate, up to which the ceiling of a bounce is promised: within 0.1 dB', () => {
    // Its samples are near zero in the middle, where it is loudest.
    const swell = Float64Array.from({ length: 4096 }, (_, n) => {
      const away = n - 2048
      return 0.5 * Math.exp(-((away / 150) ** 2)) * Math.sin(2 * Math.PI * 0.495 * away)
    })
    expect(Math.abs(db(peakOf([swell], 0.1) / oversampledPeak(swell)))).toBeLessThan(0.1)
    expect(
      db(oversampledPeak(swell) / swell.reduce((most, x) => Math.max(most, Math.abs(x)), 0)),
    ).toBeGreaterThan(0.5)
  })

  it.each(Object.entries(hostileSignals(12_000, 7)))(
    '%s, ends let out: within 0.25 dB of the peak by ideal interpolation',
    (_, samples) => {
      fadeEnds(samples, FS, 5)
      const differenceDb = db(peakOf([samples], 1e-3) / oversampledPeak(samples))
      expect(differenceDb).toBeGreaterThan(-0.25)
      expect(differenceDb).toBeLessThan(0.05)
    },
  )

  it('what the bounds spare is not missed: a limit right under the peak gives the peak of looking everywhere', () => {
    const { samples } = hissedLine(6, FS, 3, { vowelPeak: 0.7, hissRms: 0.2 })
    for (const signal of [samples, ...Object.values(hostileSignals(6000, 3))]) {
      const everywhere = peakOf([signal], 1e-9)
      expect(peakOf([signal], everywhere * 0.9999)).toBe(everywhere)
      expect(peakOf([signal], everywhere * 1.0001)).toBe(everywhere * 1.0001)
    }
  })

  it('is the same in blocks of any size, and of the loudest channel', () => {
    const { samples } = hissedLine(3, FS, 3, { vowelPeak: 0.9 })
    const softer = samples.map((x) => 0.5 * x)
    const peak = peakOf([softer, samples], 0.2)
    for (const blockFrames of [1, 333, 1024]) expect(peakOf([softer, samples], 0.2, blockFrames)).toBe(peak)
    expect(peakOf([samples], 0.2)).toBe(peak)
  })

  it('sees the overshoot of a cut at the very end and at the very start', () => {
    const cut = new Float64Array(5000).fill(0.5)
    expect(oversampledPeak(cut)).toBeGreaterThan(0.56)
    expect(db(peakOf([cut], 0.1) / oversampledPeak(cut))).toBeCloseTo(0, 1)
    const held = fadeEnds(cut.slice(), FS, 20)
    expect(db(peakOf([held], 0.1) / 0.5)).toBeLessThan(0.01)
  })

  it('silence and short sounds: nothing above the limit', () => {
    expect(peakOf([new Float64Array(5)], 0.5)).toBe(0.5)
    expect(peakOf([Float64Array.of(0.9)], 0.5)).toBeCloseTo(0.9, 3)
  })
})
