// Formants of generated vowels against Hillenbrand, Getty, Clark & Wheeler (1995), J. Acoust. Soc. Am. 97,
// Table V, typed in here again. Measured by linear prediction, whose F1 is a few per cent off on a voice
// that falls toward the top; tolerances are ours: 5 % for F1, 1 % for F2 to F4.
import { describe, expect, it } from 'vitest'
import { renderVoice } from '../../../app/dsp/voice/render-voice.ts'
import { RAP_BARITONE } from '../../../app/dsp/voice/singers.ts'
import { formantsHz } from '../../signals/speech-measures.ts'
import { exactPerformance, heldSyllable, SUNG_ALTO, steady } from '../../signals/voices.ts'

const TABLE_V: readonly (readonly [string, string, readonly number[], readonly number[]])[] = [
  ['heed', 'IY', [342, 2322, 3000, 3657], [437, 2761, 3372, 4352]],
  ['hid', 'IH', [427, 2034, 2684, 3618], [483, 2365, 3053, 4334]],
  ['hayed', 'EY', [476, 2089, 2691, 3649], [536, 2530, 3047, 4319]],
  ['head', 'EH', [580, 1799, 2605, 3677], [731, 2058, 2979, 4294]],
  ['had', 'AE', [588, 1952, 2601, 3624], [669, 2349, 2972, 4290]],
  ['hod', 'AA', [768, 1333, 2522, 3687], [936, 1551, 2815, 4299]],
  ['hawed', 'AO', [652, 997, 2538, 3486], [781, 1136, 2824, 3923]],
  ['hoed', 'OW', [497, 910, 2459, 3384], [555, 1035, 2828, 3927]],
  ['hood', 'UH', [469, 1122, 2434, 3400], [519, 1225, 2827, 4052]],
  ["who'd", 'UW', [378, 997, 2343, 3357], [459, 1105, 2735, 4115]],
  ['hud', 'AH', [623, 1200, 2550, 3557], [753, 1426, 2933, 4092]],
  ['heard', 'ER', [474, 1379, 1710, 3334], [523, 1588, 1929, 3914]],
]
const F1_TOLERANCE = 0.05
const UPPER_TOLERANCE = 0.01

// A low, steady pitch, so that the harmonics draw the envelope finely.
const TRACTS = [
  { of: 'men', singer: steady(RAP_BARITONE, 70), column: 2, topHz: 5000 },
  { of: 'women', singer: steady(SUNG_ALTO, 80), column: 3, topHz: 5800 },
] as const

describe('formants of sustained vowels, Hillenbrand et al. 1995 Table V', () => {
  for (const { of, singer, column, topHz } of TRACTS) {
    it.each(TABLE_V)(`of ${of} in "%s": F1 within 5 %, F2 to F4 within 1 %`, (...row) => {
      const { samples } = renderVoice(heldSyllable(row[1]), exactPerformance(singer), {
        sampleRateHz: 48000,
        seed: 1,
      })
      const vowel = samples.subarray(1.2 * 48000, 2.4 * 48000)
      const found = formantsHz(vowel, 48000, { topHz, order: 14, widestHz: 600 })
      const errors = row[column].map((hz, i) => found[i] / hz - 1)
      expect(Math.abs(errors[0])).toBeLessThan(F1_TOLERANCE)
      for (const error of errors.slice(1)) expect(Math.abs(error)).toBeLessThan(UPPER_TOLERANCE)
    })
  }

  it('a singer with a longer tract has all of them lower by the same share', () => {
    const singer = { ...steady(RAP_BARITONE, 70), formantScale: 0.94 }
    const { samples } = renderVoice(heldSyllable('EH'), exactPerformance(singer), {
      sampleRateHz: 48000,
      seed: 1,
    })
    const found = formantsHz(samples.subarray(1.2 * 48000, 2.4 * 48000), 48000, {
      topHz: 5000,
      order: 14,
      widestHz: 600,
    })
    for (const [i, hz] of [1799, 2605, 3677].entries()) expect(found[i + 1] / hz).toBeCloseTo(0.94, 2)
  })
})
