import { describe, expect, it } from 'vitest'
import type { StageLayout } from '../../../app/dsp/stage.ts'
import { createDrive } from '../../../app/dsp/stages/drive.ts'
import type { DriveSettings } from '../../../app/dsp/stages/settings.ts'
import { hissedLine } from '../../signals/fricatives.ts'
import { impulse } from '../../signals/impulses.ts'
import { greatestLevelDb, LOBE_BINS, sineAmplitude, spectrumOf } from '../../signals/spectra.ts'
import { tone } from '../../signals/tones.ts'
import { itKeepsTheLawsOfStages, runMono } from './stage-laws.ts'

const FS = 48_000
const SETTINGS: DriveSettings = {
  amountDb: 12,
  referenceDbfs: -12,
  evenPercent: 20,
  mixPercent: 100,
  outputDb: 0,
}
const create =
  (settings: Partial<DriveSettings> = {}) =>
  (layout: StageLayout) =>
    createDrive({ ...SETTINGS, ...settings }, layout)

const MINUS_6_DBFS = 10 ** (-6 / 20)

/** The last 65536 frames of a driven sine, long after the 5 Hz high-pass has settled. */
function drivenSine(
  settings: Partial<DriveSettings>,
  frequencyHz: number,
  amplitude = MINUS_6_DBFS,
): Float64Array {
  return runMono(create(settings), tone(FS + 65_536, FS, frequencyHz, amplitude)).output.subarray(FS)
}

const harmonicsOf = (frequencyHz: number) =>
  Array.from({ length: Math.floor(FS / 2 / frequencyHz) }, (_, k) => (k + 1) * frequencyHz)

/** Harmonics of (tanh(u + b) - tanh b) / (1 - tanh^2 b) for u = a sin, as amplitudes, by its Fourier integral. */
function curveHarmonic(a: number, b: number, harmonic: number): number {
  const steps = 4096
  let re = 0
  let im = 0
  for (let i = 0; i < steps; i++) {
    const angle = (2 * Math.PI * i) / steps
    const y = (Math.tanh(a * Math.sin(angle) + b) - Math.tanh(b)) / (1 - Math.tanh(b) ** 2)
    re += y * Math.cos(harmonic * angle)
    im += y * Math.sin(harmonic * angle)
  }
  return (2 * Math.hypot(re, im)) / steps
}

describe('drive (figure F4)', () => {
  itKeepsTheLawsOfStages('drive', create({ outputDb: -2, mixPercent: 80 }))
  itKeepsTheLawsOfStages('drive at 8x', create({ amountDb: 24 }))

  // The reference level says how far 12 dB push: -12 dBFS to 2, -30 dBFS to 16 times the knee.
  describe.each([-12, -18, -24, -30])('-6 dBFS, 12 dB of drive, reference %d dBFS', (referenceDbfs) => {
    it.each([
      [1249, 0],
      [1249, 50],
      [5000, 0],
      [5000, 50],
      [5000, 100],
    ])(
      '%d Hz, even %d %%: everything but harmonics is at or under -100 dB re fundamental',
      (frequencyHz, evenPercent) => {
        const spectrum = spectrumOf(drivenSine({ referenceDbfs, evenPercent }, frequencyHz), FS)
        const fundamentalDb = greatestLevelDb(spectrum)
        expect(greatestLevelDb(spectrum, harmonicsOf(frequencyHz)) - fundamentalDb).toBeLessThan(-100)
      },
    )
  })

  // 7 dB over the reference is the most at 4 times 44.1 and 48 kHz.
  it.each(
    [44_100, 48_000, 88_200, 96_000].flatMap((rateHz) => [7, 12].map((amountDb) => [rateHz, amountDb])),
  )(
    'at %d Hz and %d dB, fundamentals to 15 kHz, and 5.5 and 7.7 kHz together: everything else at or under -90 dB',
    (sampleRateHz, amountDb) => {
      const driven = (input: Float64Array) =>
        spectrumOf(runMono(create({ amountDb }), input, sampleRateHz).output.subarray(FS), sampleRateHz)
      const sine = (frequencyHz: number, amplitude = MINUS_6_DBFS) =>
        tone(FS + 65_536, sampleRateHz, frequencyHz, amplitude)
      // The third of 8 kHz is half of 48 kHz, and that of 7.4 kHz just over half of 44.1 kHz.
      for (const frequencyHz of [7411, 8011, 9001, 12_007, 14_503, 15_000]) {
        const harmonics = Array.from(
          { length: Math.floor(sampleRateHz / 2 / frequencyHz) },
          (_, k) => (k + 1) * frequencyHz,
        )
        const spectrum = driven(sine(frequencyHz))
        expect(greatestLevelDb(spectrum, harmonics) - greatestLevelDb(spectrum)).toBeLessThan(-90)
      }
      const second = sine(7700)
      const both = driven(sine(5500).map((x, n) => x + second[n]))
      // Their sums and differences are multiples of 1100 Hz, which what folds back at none of the rates is.
      const products = Array.from({ length: Math.floor(sampleRateHz / 2200) + 1 }, (_, k) => 1100 * k)
      expect(greatestLevelDb(both, products) - greatestLevelDb(both)).toBeLessThan(-90)
    },
  )

  it.each([50, 100])('no DC is left, even %d %%, under -90 dBFS', (evenPercent) => {
    const frequencyHz = (1705 * FS) / 65_536
    const output = drivenSine({ evenPercent, amountDb: 20 }, frequencyHz)
    const mean = output.reduce((sum, x) => sum + x, 0) / output.length
    expect(Math.abs(mean)).toBeLessThan(10 ** (-90 / 20))
  })

  it.each([
    [6, 0],
    [12, 0],
    [12, 40],
    [12, 100],
    [20, 60],
  ])('%d dB, even %d %%: H1, H2 and H3 are those of the formula within 0.05 dB', (amountDb, evenPercent) => {
    const output = drivenSine({ amountDb, evenPercent }, 997)
    const push = 10 ** ((amountDb + 12 - 12) / 20)
    for (const harmonic of evenPercent === 0 ? [1, 3] : [1, 2, 3]) {
      const expected = curveHarmonic(MINUS_6_DBFS * push, (0.5 * evenPercent) / 100, harmonic) / push
      const measured = sineAmplitude(output, 997 * harmonic, FS)
      expect(Math.abs(20 * Math.log10(measured / expected))).toBeLessThan(0.05)
    }
  })

  // Sum of the harmonics below fs/2 re fundamental for tanh, worked out apart from this
  // program (plain tanh at a high rate, fft): drive 2 and 10, fft of 65536, exact bins.
  it.each([
    [2, 1367, -15.22],
    [2, 6827, -15.45],
    [10, 1367, -7.84],
    [10, 6827, -9.83],
  ])(
    'tanh, drive %d, bin %d: harmonics together are %d dB re fundamental within 0.1 dB',
    (drive, bin, expectedDb) => {
      const frequencyHz = (bin * FS) / 65_536
      const output = drivenSine(
        { amountDb: 20 * Math.log10(drive), referenceDbfs: -12, evenPercent: 0 },
        frequencyHz,
        1,
      )
      const [fundamental, ...others] = harmonicsOf(frequencyHz).map((hz) => sineAmplitude(output, hz, FS))
      const together = Math.sqrt(others.reduce((sum, x) => sum + x * x, 0))
      expect(Math.abs(20 * Math.log10(together / fundamental) - expectedDb)).toBeLessThan(0.1)
    },
  )

  it('passes what is quiet at its own level, and output gain comes after', () => {
    const quiet = drivenSine({}, 997, 1e-4)
    expect(20 * Math.log10(sineAmplitude(quiet, 997, FS) / 1e-4)).toBeCloseTo(0, 4)
    const lower = drivenSine({ outputDb: -6 }, 997, 1e-4)
    expect(20 * Math.log10(sineAmplitude(lower, 997, FS) / 1e-4)).toBeCloseTo(-6, 4)
  })

  it('mix 0 % is the input, bit for bit, late by the latency', () => {
    const { samples } = hissedLine(2, FS, 9)
    const { output, latencySamples } = runMono(create({ mixPercent: 0, outputDb: 6 }), samples)
    expect(output.subarray(latencySamples)).toEqual(samples.subarray(0, samples.length - latencySamples))
  })

  it('mixes without a comb: half driven is the mean of dry and driven', () => {
    const { samples } = hissedLine(2, FS, 9, { vowelPeak: 0.9 })
    const [dry, half, driven] = [0, 50, 100].map(
      (mixPercent) => runMono(create({ mixPercent }), samples).output,
    )
    const worst = half.reduce((most, x, n) => Math.max(most, Math.abs(x - (dry[n] + driven[n]) / 2)), 0)
    expect(worst).toBeLessThan(1e-12)
  })

  it.each([44_100, 48_000, 88_200, 96_000])(
    'at %d Hz an impulse leaves at the reported latency',
    (sampleRateHz) => {
      const { output, latencySamples } = runMono(
        create({ mixPercent: 100 }),
        impulse(2000, 500),
        sampleRateHz,
      )
      const greatest = output.reduce((best, x, n) => (Math.abs(x) > Math.abs(output[best]) ? n : best), 0)
      expect(greatest).toBe(500 + latencySamples)
    },
  )

  it.each([
    [44_100, 18_000],
    [48_000, 19_000],
    [96_000, 30_000],
  ])(
    'at %d Hz the driven and the dry part of %d Hz are in time: the phase moves under 0.1 degrees',
    (sampleRateHz, frequencyHz) => {
      // A hard push: nearly all of the dry sine is taken back by what the curve changes.
      const input = tone(sampleRateHz, sampleRateHz, frequencyHz, 0.5)
      const { output, latencySamples } = runMono(
        create({ amountDb: 24, evenPercent: 0 }),
        input,
        sampleRateHz,
      )
      let inPhase = 0
      let turned = 0
      const step = (2 * Math.PI * frequencyHz) / sampleRateHz
      const from = sampleRateHz / 2
      for (let n = from; n < sampleRateHz - 1000; n++) {
        inPhase += output[n + latencySamples] * Math.sin(step * n)
        turned += output[n + latencySamples] * Math.cos(step * n)
      }
      expect(Math.abs(Math.atan2(turned, inPhase) * (180 / Math.PI))).toBeLessThan(0.1)
    },
  )

  it('takes any level: +60 dB into the hardest push stays finite and bounded', () => {
    const { output } = runMono(
      create({ amountDb: 24, referenceDbfs: -48, evenPercent: 100 }),
      tone(4800, FS, 997, 1000),
    )
    expect(output.every((x) => Number.isFinite(x))).toBe(true)
  })

  it('measures with a window that parts harmonics (the test itself)', () => {
    expect(LOBE_BINS * spectrumOf(new Float64Array(65_536), FS).binHz).toBeLessThan(1249 / 2)
  })
})
