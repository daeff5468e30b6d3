import { describe, expect, it } from 'vitest'
import type { StageLayout } from '../../../app/dsp/stage.ts'
import { createExpander } from '../../../app/dsp/stages/expander.ts'
import type { ExpanderSettings } from '../../../app/dsp/stages/settings.ts'
import { impulse } from '../../signals/impulses.ts'
import { sineAmplitude } from '../../signals/spectra.ts'
import { type ToneSegment, tone, toneSequence } from '../../signals/tones.ts'
import { itKeepsTheLawsOfStages, runMono, runStage } from './stage-laws.ts'

const FS = 48_000
const SETTINGS: ExpanderSettings = {
  thresholdDbfs: -40,
  ratio: 2,
  rangeDb: 30,
  attackMs: 2,
  holdMs: 50,
  releaseMs: 100,
}
const create =
  (settings: Partial<ExpanderSettings> = {}) =>
  (layout: StageLayout) =>
    createExpander({ ...SETTINGS, ...settings }, layout)

/** Frames of the look-ahead, as the stage reports it. */
const latencyOf = (settings: Partial<ExpanderSettings> = {}) =>
  create(settings)({ sampleRateHz: FS, laneChannels: [1] }).latencySamples

/** The output aligned with the input. */
function alignedOf(input: Float64Array, settings: Partial<ExpanderSettings> = {}): Float64Array {
  const fed = new Float64Array(input.length + latencyOf(settings))
  fed.set(input)
  const { output, latencySamples } = runMono(create(settings), fed)
  return output.subarray(latencySamples)
}

/** Reduction in dB at every frame, read where the tone is far from its zero crossings. */
function reductionOf(segments: ToneSegment[], settings: Partial<ExpanderSettings>): Float64Array {
  const input = toneSequence(segments, FS, 2997)
  const output = alignedOf(input, settings)
  let last = 0
  return input.map((x, n) => {
    if (Math.abs(x) > 1e-7) last = -20 * Math.log10(Math.abs(output[n] / x))
    return last
  })
}

/** What is lost of the energy of the 15 ms after the first second, in dB. */
function lossOf(input: Float64Array, settings: Partial<ExpanderSettings>): number {
  const energyOf = (samples: Float64Array) =>
    samples.subarray(FS, FS + 720).reduce((sum, x) => sum + x * x, 0)
  return 10 * Math.log10(energyOf(input) / energyOf(alignedOf(input, settings)))
}

describe('expander', () => {
  itKeepsTheLawsOfStages('expander', create())

  // A downward expander of ratio r turns 1 dB under the threshold into r dB (definition);
  // a sine of peak level L reads L dBFS (AES17: 0 dBFS is a full-scale sine).
  it.each([
    [-39, 2, -39],
    [-45, 2, -50],
    [-45, 3, -55],
    [-60, 2, -80],
    [-75, 2, -105],
    [-75, 10, -105],
  ])(
    'a sine at %d dBFS, ratio %d, leaves at %d dBFS within 0.2 dB (common practice)',
    (inputDb, ratio, outputDb) => {
      const { output } = runMono(create({ ratio }), tone(2 * FS, FS, 1000, 10 ** (inputDb / 20)))
      expect(Math.abs(20 * Math.log10(sineAmplitude(output.subarray(FS), 1000, FS)) - outputDb)).toBeLessThan(
        0.2,
      )
    },
  )

  it('is the input itself, bit for bit, while it is open', () => {
    const input = tone(FS, FS, 440, 0.1)
    const output = alignedOf(input)
    // The first 50 ms open it from silence.
    expect(output.subarray(2400)).toEqual(input.subarray(2400))
  })

  it('holds before it closes, then closes with the release time constant, within 5 %', () => {
    const holdMs = 80
    const releaseMs = 150
    const reduction = reductionOf(
      [
        { seconds: 0.5, peakDbfs: -20 },
        { seconds: 2, peakDbfs: -120 },
      ],
      { holdMs, releaseMs, rangeDb: 20 },
    )
    // The level falls through the threshold some ms after the tone's end: 20 dB at 4.34 dB per 5 ms.
    const closing = reduction.findIndex((value) => value > 0.01)
    expect(closing - FS / 2).toBeGreaterThan(0.048 * holdMs * 1000)
    expect(closing - FS / 2).toBeLessThan(0.048 * (holdMs + 30) * 1000)
    // A stretch in which the whole range is asked for: the rest decays as exp(-t / tau).
    const [first, second] = [0.75, 0.9].map((t) => 20 - reduction[Math.round(t * FS)])
    expect(Math.abs(((0.15 / Math.log(first / second)) * 1000) / releaseMs - 1)).toBeLessThan(0.05)
  })

  it('opens with the attack time constant, within 5 %', () => {
    const reduction = reductionOf(
      [
        { seconds: 1, peakDbfs: -120 },
        { seconds: 0.5, peakDbfs: -6 },
      ],
      { attackMs: 10, rangeDb: 20 },
    )
    const lookAhead = latencyOf({ attackMs: 10, rangeDb: 20 })
    const from = FS - lookAhead
    const opened = reduction.findIndex((value, n) => n > from && value < 20 / Math.E) - from
    expect(Math.abs(opened / 480 - 1)).toBeLessThan(0.05)
  })

  it('listens to the louder channel: a voice on one side does not shut', () => {
    const voice = tone(FS, FS, 440, 0.1)
    const stage = create()({ sampleRateHz: FS, laneChannels: [2] })
    const [[left]] = runStage(stage, [[voice, new Float64Array(FS)]])
    const late = latencyOf()
    expect(left.subarray(2400 + late)).toEqual(voice.subarray(2400, FS - late))
  })

  it('reports its look-ahead as latency: an impulse comes out that much later', () => {
    const { output, latencySamples } = runMono(create({ rangeDb: 6 }), impulse(4000, 1000))
    expect(latencySamples).toBeGreaterThan(0)
    expect(output[1000 + latencySamples]).toBeGreaterThan(0.4)
    expect(output.filter((x) => x !== 0)).toHaveLength(1)
  })

  // Levels of pauses and rumble as a room has them; the limit of 2 dB is our own target.
  it.each([15, 25, 40])(
    'turns a pause down although a rumble of %d Hz at -50 dBFS is in it',
    (frequencyHz) => {
      const settings = { thresholdDbfs: -50, rangeDb: 12, holdMs: 120, releaseMs: 180 }
      const reduction = alignedOf(tone(2 * FS, FS, frequencyHz, 10 ** (-50 / 20)), settings)
      const db = 20 * Math.log10(sineAmplitude(reduction.subarray(FS), frequencyHz, FS)) + 50
      expect(db).toBeLessThan(-11)
    },
  )

  it.each([1, 3, 12, 30])(
    'takes at most 2 dB off the first 15 ms of a tone %d dB over the threshold',
    (over) => {
      for (const [attackMs, rangeDb] of [
        [2, 12],
        [2, 30],
        [10, 30],
        [20, 12],
      ]) {
        const reduction = reductionOf(
          [
            { seconds: 1, peakDbfs: -100 },
            { seconds: 0.5, peakDbfs: -40 + over },
          ],
          { attackMs, rangeDb },
        )
        expect(Math.max(...reduction.subarray(FS + 10, FS + 720))).toBeLessThan(2)
      }
    },
  )

  // As a stop does: a start too short and soft for the detector, then the closure, then the vowel.
  it('takes at most 2 dB off the first 15 ms of a word that starts softly 26 ms before its vowel', () => {
    const word = [
      { seconds: 1, peakDbfs: -100 },
      { seconds: 0.006, peakDbfs: -39 },
      { seconds: 0.02, peakDbfs: -50 },
      { seconds: 0.5, peakDbfs: -25 },
    ]
    const lost = lossOf(toneSequence(word, FS, 250), { ratio: 10, rangeDb: 12 })
    expect(lost).toBeLessThan(2)
  })

  // The lowest fundamentals of speech are about 80 Hz (common practice); a word that begins with b, d or g begins with one.
  it.each([80, 100, 120])(
    'takes at most 2 dB off the first 15 ms of a fundamental of %d Hz, 1 dB over the threshold',
    (frequencyHz) => {
      const voiced = tone(FS, FS, frequencyHz, 10 ** (-39 / 20))
      const input = Float64Array.from({ length: 2 * FS }, (_, n) => (n < FS ? 0 : voiced[n - FS]))
      expect(lossOf(input, { ratio: 10, rangeDb: 12 })).toBeLessThan(2)
    },
  )
})
