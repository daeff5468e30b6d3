// The envelope's peaks against the formants of published vowels.

import { describe, expect, it } from 'vitest'
import { envelopeFrequencyHz } from '../../../app/dsp/analysis/voice-envelope.ts'
import { renderVoice } from '../../../app/dsp/voice/render-voice.ts'
import { RAP_BARITONE } from '../../../app/dsp/voice/singers.ts'
import { VOWEL_FORMANTS_HZ } from '../../../app/dsp/voice/vowels.ts'
import { ENVELOPE_RATE_HZ, envelopeDb, formantErrors } from '../../signals/envelope-peaks.ts'
import { formantVowel } from '../../signals/formant-vowel.ts'
import { PETERSON_BARNEY_1952_MEN } from '../../signals/published-speech.ts'
import { exactPerformance, heldSyllable, SUNG_ALTO, steady } from '../../signals/voices.ts'

const RATE_HZ = ENVELOPE_RATE_HZ

function expectFormants(levelsDb: readonly number[], formantsHz: readonly number[], pitchHz: number): void {
  for (const { formant, wantedHz, offHz, toleranceHz } of formantErrors(levelsDb, formantsHz, pitchHz)) {
    expect(Math.abs(offHz), `F${formant} at ${wantedHz} Hz`).toBeLessThan(toleranceHz)
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
