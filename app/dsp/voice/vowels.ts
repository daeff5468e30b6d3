// Formant frequencies of the vowels, for the vocal tracts of men and of women.
// Steady vowels have published averages; diphthongs are glides between two of them.

/** The population whose average vocal tract gives the formants. */
export type TractKind = 'men' | 'women'

/** The steady vowels, in ARPAbet letters. */
export type SteadyVowel = 'IY' | 'IH' | 'EY' | 'EH' | 'AE' | 'AA' | 'AO' | 'OW' | 'UH' | 'UW' | 'AH' | 'ER'

/** Steady vowels and the three diphthongs that glide from one to another. */
export type Vowel = SteadyVowel | 'AY' | 'AW' | 'OY'

/** F1 to F4 in Hz. */
export type Formants = readonly [number, number, number, number]

/**
 * Average F1 to F4 in Hz of 45 men and 48 women: Hillenbrand, Getty, Clark & Wheeler (1995),
 * J. Acoust. Soc. Am. 97, 3099-3111, Table V (heed, hid, hayed, head, had, hod, hawed, hoed, hood, who'd,
 * hud, heard).
 */
export const VOWEL_FORMANTS_HZ: Readonly<Record<TractKind, Readonly<Record<SteadyVowel, Formants>>>> = {
  men: {
    IY: [342, 2322, 3000, 3657],
    IH: [427, 2034, 2684, 3618],
    EY: [476, 2089, 2691, 3649],
    EH: [580, 1799, 2605, 3677],
    AE: [588, 1952, 2601, 3624],
    AA: [768, 1333, 2522, 3687],
    AO: [652, 997, 2538, 3486],
    OW: [497, 910, 2459, 3384],
    UH: [469, 1122, 2434, 3400],
    UW: [378, 997, 2343, 3357],
    AH: [623, 1200, 2550, 3557],
    ER: [474, 1379, 1710, 3334],
  },
  women: {
    IY: [437, 2761, 3372, 4352],
    IH: [483, 2365, 3053, 4334],
    EY: [536, 2530, 3047, 4319],
    EH: [731, 2058, 2979, 4294],
    AE: [669, 2349, 2972, 4290],
    AA: [936, 1551, 2815, 4299],
    AO: [781, 1136, 2824, 3923],
    OW: [555, 1035, 2828, 3927],
    UH: [519, 1225, 2827, 4052],
    UW: [459, 1105, 2735, 4115],
    AH: [753, 1426, 2933, 4092],
    ER: [523, 1588, 1929, 3914],
  },
}

/** Start and end vowel of each diphthong (common phonetic description of American English). */
const DIPHTHONGS: Readonly<Record<'AY' | 'AW' | 'OY', readonly [SteadyVowel, SteadyVowel]>> = {
  AY: ['AA', 'IH'],
  AW: ['AA', 'UH'],
  OY: ['AO', 'IH'],
}

/** The steady vowels at a vowel's start and end; they differ only for diphthongs. */
export function vowelEnds(vowel: Vowel): readonly [SteadyVowel, SteadyVowel] {
  return vowel === 'AY' || vowel === 'AW' || vowel === 'OY' ? DIPHTHONGS[vowel] : [vowel, vowel]
}

/** Whether the symbol is one of the ARPAbet vowels known here. */
export function isVowel(symbol: string): symbol is Vowel {
  return symbol in VOWEL_FORMANTS_HZ.men || symbol in DIPHTHONGS
}
