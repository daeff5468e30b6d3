// Peaks of the voice's envelope against the formants of published vowels, and the ripple that
// harmonics leave in it.

import { envelopeFrequencyHz } from '../../../../app/dsp/analysis/voice-envelope.ts'
import { renderVoice } from '../../../../app/dsp/voice/render-voice.ts'
import { RAP_BARITONE } from '../../../../app/dsp/voice/singers.ts'
import { VOWEL_FORMANTS_HZ } from '../../../../app/dsp/voice/vowels.ts'
import { ENVELOPE_RATE_HZ, envelopeDb, formantErrors } from '../../../signals/envelope-peaks.ts'
import { formantVowel } from '../../../signals/formant-vowel.ts'
import { PETERSON_BARNEY_1952_MEN } from '../../../signals/published-speech.ts'
import { exactPerformance, heldSyllable, SUNG_ALTO, steady } from '../../../signals/voices.ts'
import { limitOf, type Reading, type Row, rowOf } from '../../rows.ts'

const shares = (
  name: string,
  samples: Float64Array,
  formantsHz: readonly number[],
  pitchHz: number,
): Reading[] =>
  formantErrors(envelopeDb(samples, pitchHz), formantsHz, pitchHz).map(
    ({ formant, wantedHz, offHz, toleranceHz }) => ({
      where: `${name}, F${formant} at ${wantedHz} Hz`,
      value: (100 * Math.abs(offHz)) / toleranceHz,
    }),
  )

function generatedVowels(): Reading[] {
  return (
    [
      ['men', RAP_BARITONE, 90],
      ['women', SUNG_ALTO, 130],
    ] as const
  ).flatMap(([tract, singer, pitchHz]) =>
    Object.entries(VOWEL_FORMANTS_HZ[tract]).flatMap(([vowel, formantsHz]) => {
      const { samples } = renderVoice(heldSyllable(vowel), exactPerformance(steady(singer, pitchHz)), {
        sampleRateHz: ENVELOPE_RATE_HZ,
        seed: 1,
      })
      const held = Float64Array.from(samples.subarray(1.2 * ENVELOPE_RATE_HZ, 2.4 * ENVELOPE_RATE_HZ))
      return shares(`${vowel} of ${tract}`, held, formantsHz, pitchHz)
    }),
  )
}

function ripples(): Reading[] {
  return [80, 150, 300].map((pitchHz) => {
    const buzz = new Float64Array(ENVELOPE_RATE_HZ)
    for (let k = 1; k * pitchHz < 20_000; k++) {
      const step = (2 * Math.PI * k * pitchHz) / ENVELOPE_RATE_HZ
      for (let n = 0; n < buzz.length; n++) buzz[n] += 0.01 * Math.sin(step * n + k * k)
    }
    const levelsDb = envelopeDb(buzz, pitchHz).filter((_, i) => {
      const hz = envelopeFrequencyHz(i)
      return hz > 3 * pitchHz && hz < 10_000
    })
    return { where: `${pitchHz} Hz`, value: Math.max(...levelsDb) - Math.min(...levelsDb) }
  })
}

export function formantRows(): Row[] {
  const tolerance = 'tolerance of half the harmonic spacing or 4 % (our choice)'
  return [
    rowOf(
      'T2',
      'formants of generated vowels: error as a share of its tolerance',
      limitOf({ high: 100 }, '%', 0, `Hillenbrand et al. 1995, Table V; ${tolerance}`),
      generatedVowels(),
    ),
    rowOf(
      'T2',
      'formants of filtered harmonics: error as a share of its tolerance',
      limitOf({ high: 100 }, '%', 0, `Peterson & Barney 1952, Table II; ${tolerance}`),
      PETERSON_BARNEY_1952_MEN.flatMap(([word, pitchHz, f1, f2, f3]) =>
        shares(
          `"${word}"`,
          formantVowel([f1, f2, f3], pitchHz, 0.5, ENVELOPE_RATE_HZ),
          [f1, f2, f3],
          pitchHz,
        ),
      ),
    ),
    rowOf(
      'T2',
      'ripple that harmonics of equal level leave in the envelope',
      limitOf({ high: 1.5 }, 'dB', 2, 'ours: well under the 4 dB of section 2.4, where a resonance begins'),
      ripples(),
    ),
  ]
}
