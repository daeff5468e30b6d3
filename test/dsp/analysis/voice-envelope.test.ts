// The envelope's peaks against the formants of published vowels. Between harmonics nothing
// is known, so formants are asked for to 0.55 of the distance of two of them or to 4 %,
// whichever is more (our figures).

import { describe, expect, it } from 'vitest'
import { createFrameSpectrum } from '../../../app/dsp/analysis/frame-spectrum.ts'
import { createFramer } from '../../../app/dsp/analysis/framer.ts'
import { createVoiceEnvelope, envelopeFrequencyHz } from '../../../app/dsp/analysis/voice-envelope.ts'
import { renderVoice } from '../../../app/dsp/voice/render-voice.ts'
import { RAP_BARITONE, SUNG_ALTO } from '../../../app/dsp/voice/singers.ts'
import { VOWEL_FORMANTS_HZ } from '../../../app/dsp/voice/vowels.ts'
import { formantVowel } from '../../signals/formant-vowel.ts'
import { PETERSON_BARNEY_1952_MEN } from '../../signals/published-speech.ts'
import { exactPerformance, heldSyllable, steady } from '../../signals/voices.ts'

const RATE_HZ = 48_000
const POINTS = 4096

function envelopeDb(samples: Float64Array, pitchHz: number): number[] {
  const spectrum = createFrameSpectrum(POINTS, RATE_HZ)
  const envelope = createVoiceEnvelope(POINTS, RATE_HZ)
  const powers = new Float64Array(envelope.frequenciesHz.length)
  const sums = new Float64Array(powers.length)
  createFramer(POINTS, POINTS / 2).add(samples, samples.length, (frame) => {
    spectrum.measure(frame)
    envelope.measure(spectrum, pitchHz, powers)
    for (let i = 0; i < sums.length; i++) sums[i] += powers[i]
  })
  return Array.from(sums, (sum) => 10 * Math.log10(sum))
}

function peaksHz(levelsDb: readonly number[]): number[] {
  const peaks: number[] = []
  for (let i = 1; i + 1 < levelsDb.length; i++) {
    const [before, at, after] = [levelsDb[i - 1], levelsDb[i], levelsDb[i + 1]]
    if (at > before && at >= after) {
      peaks.push(envelopeFrequencyHz(i + (before - after) / (2 * (before - 2 * at + after))))
    }
  }
  return peaks
}

function expectFormants(levelsDb: readonly number[], formantsHz: readonly number[], pitchHz: number): void {
  const peaks = peaksHz(levelsDb)
  for (const [i, wantedHz] of formantsHz.entries()) {
    // Two formants that few harmonics part make one hump.
    if (i > 0 && wantedHz - formantsHz[i - 1] < 2.7 * pitchHz) continue
    const nearest = peaks.reduce((a, b) => (Math.abs(b - wantedHz) < Math.abs(a - wantedHz) ? b : a))
    const tolerance = Math.max(0.04 * wantedHz, 0.55 * pitchHz)
    expect(Math.abs(nearest - wantedHz), `F${i + 1} at ${wantedHz} Hz`).toBeLessThan(tolerance)
  }
}

describe('formants of generated vowels, Hillenbrand et al. 1995 Table V', () => {
  const TRACTS = [
    ['men', RAP_BARITONE, 90],
    ['women', SUNG_ALTO, 130],
  ] as const
  for (const [tract, singer, pitchHz] of TRACTS) {
    it.each(Object.entries(VOWEL_FORMANTS_HZ[tract]))(`of ${tract}, %s: F1 to F4`, (vowel, formantsHz) => {
      const { samples } = renderVoice(heldSyllable(vowel), exactPerformance(steady(singer, pitchHz)), {
        sampleRateHz: RATE_HZ,
        seed: 1,
      })
      const held = Float64Array.from(samples.subarray(1.2 * RATE_HZ, 2.4 * RATE_HZ))
      expectFormants(envelopeDb(held, pitchHz), formantsHz, pitchHz)
    })
  }
})

describe('formants of vowels from harmonics under resonances, Peterson & Barney 1952 Table II', () => {
  it.each(PETERSON_BARNEY_1952_MEN)(
    'in "%s" of men: F1 to F3 at their own F0',
    (_word, pitchHz, f1, f2, f3) => {
      const vowel = formantVowel([f1, f2, f3], pitchHz, 0.5, RATE_HZ)
      expectFormants(envelopeDb(vowel, pitchHz), [f1, f2, f3], pitchHz)
    },
  )
})

describe('harmonics', () => {
  it.each([80, 150, 300])(
    'of a buzz of equal harmonics at %d Hz leave less than 1.5 dB of ripple',
    (pitchHz) => {
      const buzz = new Float64Array(RATE_HZ)
      for (let k = 1; k * pitchHz < 20_000; k++) {
        for (let n = 0; n < buzz.length; n++)
          buzz[n] += 0.01 * Math.sin((2 * Math.PI * k * pitchHz * n) / RATE_HZ + k * k)
      }
      const levelsDb = envelopeDb(buzz, pitchHz).filter((_, i) => {
        const hz = envelopeFrequencyHz(i)
        return hz > 3 * pitchHz && hz < 10_000
      })
      const ripple = Math.max(...levelsDb) - Math.min(...levelsDb)
      console.log(`ripple at ${pitchHz} Hz: ${ripple.toFixed(2)} dB`)
      expect(ripple).toBeLessThan(1.5)
    },
  )
})
