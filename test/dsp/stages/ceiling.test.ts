import { describe, expect, it } from 'vitest'
import type { StageLayout } from '../../../app/dsp/stage.ts'
import { createCeiling } from '../../../app/dsp/stages/ceiling.ts'
import type { CeilingSettings } from '../../../app/dsp/stages/settings.ts'
import { hissedLine } from '../../signals/fricatives.ts'
import { hostileSignals } from '../../signals/hostile.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { oversampledPeak } from '../../signals/oversampled-peak.ts'
import { tone } from '../../signals/tones.ts'
import { itKeepsTheLawsOfStages, runMono, runStage } from './stage-laws.ts'

const FS = 48_000
const SETTINGS: CeilingSettings = { ceilingDbtp: -1, lookAheadMs: 2, releaseMs: 80 }
const CEILING = 10 ** (-1 / 20)
const create =
  (settings: Partial<CeilingSettings> = {}) =>
  (layout: StageLayout) =>
    createCeiling({ ...SETTINGS, ...settings }, layout)

const greatest = (samples: Float64Array) => samples.reduce((most, x) => Math.max(most, Math.abs(x)), 0)

describe('ceiling (figure F7)', () => {
  itKeepsTheLawsOfStages('ceiling', create())

  describe.each([1.5, 2, 5])('look-ahead %d ms', (lookAheadMs) => {
    it.each(Object.entries(hostileSignals(20_000, 5)))(
      'no sample of %s is above the ceiling, in doubles or in 32-bit floats',
      (_, samples) => {
        for (const releaseMs of [10, 80, 1000]) {
          const { output } = runMono(create({ lookAheadMs, releaseMs }), samples)
          expect(greatest(output)).toBeLessThanOrEqual(CEILING)
          expect(greatest(Float64Array.from(new Float32Array(output)))).toBeLessThanOrEqual(CEILING)
        }
      },
    )
  })

  // Files of 32-bit floats may hold such samples. At 120 frames of look-ahead the mean of reductions of 1 is
  // 1 - 2^-53, so that beyond 2^53 the gain alone does not hold them: the clamp does.
  it.each([1e9, 1e17, 3.4e38])('holds samples of up to %d', (peak) => {
    const samples = whiteNoise(8000, 5, peak)
    for (const lookAheadMs of [2, 2.5]) {
      const { output } = runMono(create({ lookAheadMs }), samples)
      expect(greatest(output)).toBeLessThanOrEqual(CEILING)
    }
  })

  // 16 times oversampled by zero padding with fft.js. A second pass over a bounce is what
  // brings every input to 0.3 dB; here is what one pass leaves.
  it.each([
    [6, 1.5],
    [15, 1.5],
    [15, 2],
    [15, 5],
  ])(
    'a voice driven %d dB over, look-ahead %d ms, has no true peak more than 0.1 dB above',
    (overDb, lookAheadMs) => {
      const { samples } = hissedLine(2, FS, 3, { vowelPeak: CEILING * 10 ** (overDb / 20), hissRms: 0.3 })
      const { output } = runMono(create({ lookAheadMs }), samples)
      expect(20 * Math.log10(oversampledPeak(output) / CEILING)).toBeLessThan(0.1)
    },
  )

  it.each([
    ['square wave at +10 dB', 0.5],
    ['fs/4 bursts between the samples', 0.1],
    ['sparse impulses at +20 dB', 0.1],
    ['+40 dB steps', 0.1],
    ['normal noise', 1],
  ])('one pass over %s leaves true peaks within %d dB', (name, limitDb) => {
    // Let out to the end, so that no cut makes a peak of its own.
    const samples = new Float64Array(22_000)
    samples.set(hostileSignals(20_000, 5)[name])
    const { output } = runMono(create(), samples)
    expect(20 * Math.log10(oversampledPeak(output) / CEILING)).toBeLessThan(limitDb)
  })

  it('holds a peak between the samples: fs/4 at 45 degrees is 3.01 dB above its samples (BS.1770-5 Annex 2)', () => {
    const input = tone(FS, FS, FS / 4, 1.2, 45)
    const { output } = runMono(create(), input)
    expect(20 * Math.log10(greatest(output.subarray(FS / 2)) / CEILING)).toBeCloseTo(-3.01, 1)
  })

  it('below the ceiling the output is the input, bit for bit, late by the latency', () => {
    const { samples } = hissedLine(3, FS, 3, { vowelPeak: 0.8 })
    const { output, latencySamples } = runMono(create(), samples)
    expect(latencySamples).toBe(Math.round(0.002 * FS) - 1 + 24)
    expect(output.subarray(latencySamples)).toEqual(samples.subarray(0, samples.length - latencySamples))
  })

  it('is transparent again some releases after a peak', () => {
    const input = tone(3 * FS, FS, 440, 0.5)
    input[1000] = 3
    const { output, latencySamples } = runMono(create(), input)
    expect(output.subarray(2 * FS)).toEqual(input.subarray(2 * FS - latencySamples, 3 * FS - latencySamples))
  })

  it('lets go with the release time constant, within 5 %', () => {
    const input = tone(2 * FS, FS, 1000, 0.5)
    input.set(tone(4800, FS, 1000, 2), 0)
    const releaseMs = 200
    const stage = create({ releaseMs })({ sampleRateHz: FS, laneChannels: [1] })
    const taken: number[] = []
    for (let from = 0; from < input.length; from += 48) {
      runStage(stage, [[input.slice(from, from + 48)]])
      taken.push(1 - 10 ** (-stage.reductionDb / 20))
    }
    const [first, second] = [taken[200], taken[400]]
    expect(Math.abs(200 / Math.log(first / second) / releaseMs - 1)).toBeLessThan(0.05)
  })

  it('takes more off the harder it is driven', () => {
    const reductions = [0, 2, 4, 8, 16].map((overDb) => {
      const stage = create()({ sampleRateHz: FS, laneChannels: [1] })
      runStage(stage, [[tone(1024, FS, 1000, CEILING * 10 ** (overDb / 20))]])
      return stage.reductionDb
    })
    expect(reductions).toEqual([...reductions].sort((a, b) => a - b))
    expect(reductions[4]).toBeCloseTo(16, 1)
  })

  it('links channels: what the left needs the right gets too', () => {
    const left = tone(FS, FS, 1000, 2)
    const right = tone(FS, FS, 700, 0.1)
    const { latencySamples } = runMono(create(), left)
    const stage = create()({ sampleRateHz: FS, laneChannels: [2] })
    const [[outLeft, outRight]] = runStage(stage, [[left, right]])
    for (let n = FS / 2; n < FS / 2 + 200; n++) {
      const x = left[n - latencySamples]
      if (Math.abs(x) < 0.1) continue
      expect(outRight[n] / right[n - latencySamples]).toBeCloseTo(outLeft[n] / x, 9)
    }
  })
})
