// Pitch of generated voices: F0 found by autocorrelation against the truth handed out,
// vibrato against published rates, and the source's freedom from folded harmonics.
import { describe, expect, it } from 'vitest'
import { createRandom } from '../../../app/dsp/maths/random.ts'
import { CONTROL_SECONDS, controlFrames } from '../../../app/dsp/voice/control-track.ts'
import { renderGlottalSource } from '../../../app/dsp/voice/glottal-source.ts'
import { renderVoice } from '../../../app/dsp/voice/render-voice.ts'
import { RAP_BARITONE, SUNG_BARITONE } from '../../../app/dsp/voice/singers.ts'
import { PAPER_LANTERNS_HOOK } from '../../../app/dsp/voice/songs/paper-lanterns.ts'
import { greatestLevelDb, spectrumOf } from '../../signals/spectra.ts'
import { autocorrelationPitchHz } from '../../signals/speech-measures.ts'
import { exactPerformance, heldSyllable, SUNG_ALTO, steady } from '../../signals/voices.ts'

const RATE_HZ = 48000

function centsBetween(hz: number, referenceHz: number): number {
  return 1200 * Math.log2(hz / referenceHz)
}

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[values.length >> 1]
}

function truthAt(f0: { stepSeconds: number; hz: Float32Array }, seconds: number): number {
  return f0.hz[Math.round(seconds / f0.stepSeconds)]
}

describe('F0 by autocorrelation against the truth', () => {
  it.each([
    ['rap baritone', RAP_BARITONE, 110],
    ['sung baritone', SUNG_BARITONE, 196],
    ['sung alto', SUNG_ALTO, 330],
  ])('%s on steady notes: median error under 5 cents', (_name, singer, pitchHz) => {
    const errors: number[] = []
    for (const vowel of ['AA', 'IY', 'OW', 'EH']) {
      const { samples, truth } = renderVoice(
        heldSyllable(`M ${vowel}`),
        exactPerformance(steady(singer, pitchHz)),
        { sampleRateHz: RATE_HZ, seed: 3 },
      )
      for (let seconds = 1.2; seconds < 2.35; seconds += 0.05) {
        const found = autocorrelationPitchHz(samples, RATE_HZ, seconds, 70, 500)
        errors.push(Math.abs(centsBetween(found, truthAt(truth.f0, seconds))))
        expect(truthAt(truth.f0, seconds)).toBeCloseTo(pitchHz, 3)
      }
    }
    expect(median(errors)).toBeLessThan(5)
  })

  it('a whole sung hook: gross errors (over 50 cents) in under 1 % of the voiced moments', () => {
    const { samples, truth } = renderVoice(PAPER_LANTERNS_HOOK, exactPerformance(SUNG_ALTO), {
      sampleRateHz: RATE_HZ,
      seed: 4,
    })
    const errors: number[] = []
    for (const { vowelStartSeconds, vowelEndSeconds } of truth.syllables) {
      for (let seconds = vowelStartSeconds + 0.06; seconds < vowelEndSeconds - 0.06; seconds += 0.03) {
        const found = autocorrelationPitchHz(samples, RATE_HZ, seconds, 150, 600)
        errors.push(Math.abs(centsBetween(found, truthAt(truth.f0, seconds))))
      }
    }
    expect(errors.length).toBeGreaterThan(150)
    expect(errors.filter((error) => error > 50).length / errors.length).toBeLessThan(0.01)
    expect(median(errors)).toBeLessThan(8)
  })
})

describe('vibrato on long notes', () => {
  it('5.1 Hz within three standard deviations of 0.3 Hz (Cuesta et al. 2018), 30 to 60 cents, after 300 ms', () => {
    const { truth } = renderVoice(
      heldSyllable('AA'),
      exactPerformance({ ...SUNG_ALTO, driftCents: 0, scoopSemitones: 0, fallSemitones: 0 }),
      { sampleRateHz: RATE_HZ, seed: 5 },
    )
    const cents = (seconds: number) => centsBetween(truthAt(truth.f0, seconds), SUNG_ALTO.tonicHz)
    for (let seconds = 1.05; seconds < 1.29; seconds += 0.01) expect(Math.abs(cents(seconds))).toBeLessThan(1)
    let peak = 0
    const rises: number[] = []
    for (let seconds = 1.35; seconds < 2.4; seconds += CONTROL_SECONDS) {
      peak = Math.max(peak, Math.abs(cents(seconds)))
      if (cents(seconds) < 0 && cents(seconds + CONTROL_SECONDS) >= 0) rises.push(seconds)
    }
    const rateHz = (rises.length - 1) / (rises[rises.length - 1] - rises[0])
    expect(Math.abs(rateHz - 5.1)).toBeLessThan(0.9)
    expect(peak).toBeGreaterThan(30)
    expect(peak).toBeLessThan(60)
  })
})

describe('glottal source', () => {
  const frames = 1 << 17
  const source = (pitchHz: number) =>
    renderGlottalSource(
      new Float64Array(controlFrames(frames / RATE_HZ)).fill(pitchHz),
      { jitterPercent: 0, shimmerPercent: 0 },
      RATE_HZ,
      frames,
      createRandom(1),
    )

  it.each([117.3, 440.7, 987.1])(
    'at %d Hz nothing folds: up to 20 kHz all but harmonics is 80 dB down',
    (hz) => {
      const { amplitudes, binHz } = spectrumOf(source(hz).pulses, RATE_HZ)
      const heard = { amplitudes: amplitudes.subarray(0, Math.floor(20000 / binHz)), binHz }
      const harmonics = Array.from({ length: Math.ceil(20000 / hz) }, (_, i) => (i + 1) * hz)
      const fundamentalDb = 20 * Math.log10(amplitudes[Math.round(hz / binHz)])
      expect(greatestLevelDb(heard, [0, ...harmonics]) - fundamentalDb).toBeLessThan(-80)
    },
  )

  it('closes with a sharp negative peak: the positive polarity of a take', () => {
    const { pulses } = source(120)
    let [lowest, highest] = [0, 0]
    for (const value of pulses) {
      lowest = Math.min(lowest, value)
      highest = Math.max(highest, value)
    }
    expect(-lowest).toBeGreaterThan(2 * highest)
  })
})
