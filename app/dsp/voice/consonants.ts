// How each consonant is made: how long it lasts, where the tract moves, how much of
// the voice sounds through it, and which noise it adds.
import type { NoiseKind } from './frication.ts'
import type { Formants } from './vowels.ts'

/** Consonants in ARPAbet letters. */
export type Consonant =
  | 'S'
  | 'SH'
  | 'Z'
  | 'F'
  | 'V'
  | 'HH'
  | 'T'
  | 'K'
  | 'P'
  | 'CH'
  | 'B'
  | 'D'
  | 'G'
  | 'M'
  | 'N'
  | 'L'
  | 'R'
  | 'W'
  | 'Y'

/** One consonant at an unhurried pace; hurried ones are shortened as a whole. */
interface ConsonantSpec {
  /** Closure of the vocal tract; 0 for all but stops and the affricate. */
  readonly closureMs: number
  /** Frication, burst or the sonorant itself, after any closure. */
  readonly soundMs: number
  /** Breath between a voiceless stop's burst and the vowel. */
  readonly aspirationMs: number
  /** Amplitude of the voice during the consonant, relative to a vowel; in a voiced stop, its voice bar. */
  readonly voicing: number
  /** Amplitude of breath noise through the tract relative to a whispered vowel. */
  readonly breath: number
  /** Targets of F1 to F4, for a man's tract; undefined takes the vowel's. */
  readonly formantsHz: Formants | undefined
  /** Frequency of the nasal zero; 270 Hz cancels the nasal pole, so that neither is audible. */
  readonly nasalZeroHz: number
  /** Bandwidth of F1. */
  readonly f1BandwidthHz: number
  /** Noise of the parallel branch, if any. */
  readonly noise: NoiseKind | undefined
}

const F4_HZ = 3500
const CLEAR = 270
const NASAL = 450

// Formant targets: Klatt (1980), J. Acoust. Soc. Am. 67, 971-995, Table III, from memory, and rounded.
// Lengths: fluent-speech figures from memory; to suit a song's tempo, /s/ and /z/ are shorter than the 178
// and 118 ms that Jongman, Wayland & Wong (2000) give for single words read aloud.
function consonant(
  spec: Partial<ConsonantSpec>,
  formants?: readonly [number, number, number],
): ConsonantSpec {
  return {
    closureMs: 0,
    soundMs: 60,
    aspirationMs: 0,
    voicing: 0,
    breath: 0,
    formantsHz: formants && [formants[0], formants[1], formants[2], F4_HZ],
    nasalZeroHz: CLEAR,
    f1BandwidthHz: 60,
    noise: undefined,
    ...spec,
  }
}

/** Every consonant by its ARPAbet symbol. */
export const CONSONANTS: Readonly<Record<Consonant, ConsonantSpec>> = {
  S: consonant({ soundMs: 115, noise: 's' }, [320, 1390, 2530]),
  SH: consonant({ soundMs: 115, noise: 'sh' }, [300, 1840, 2750]),
  Z: consonant({ soundMs: 85, voicing: 0.3, noise: 'z' }, [240, 1390, 2530]),
  F: consonant({ soundMs: 90, noise: 'f' }, [340, 1100, 2080]),
  V: consonant({ soundMs: 60, voicing: 0.35, noise: 'v' }, [220, 1100, 2080]),
  HH: consonant({ soundMs: 60, breath: 1, f1BandwidthHz: 250 }),
  T: consonant({ closureMs: 50, soundMs: 14, aspirationMs: 30, noise: 't' }, [300, 1650, 2650]),
  K: consonant({ closureMs: 50, soundMs: 20, aspirationMs: 32, noise: 'k' }, [300, 1990, 2650]),
  P: consonant({ closureMs: 55, soundMs: 10, aspirationMs: 30, noise: 'p' }, [330, 950, 2150]),
  CH: consonant({ closureMs: 45, soundMs: 75, noise: 'sh' }, [320, 1800, 2750]),
  B: consonant({ closureMs: 55, soundMs: 7, voicing: 0.22, noise: 'b' }, [200, 950, 2150]),
  D: consonant({ closureMs: 45, soundMs: 8, voicing: 0.22, noise: 'd' }, [200, 1650, 2650]),
  G: consonant({ closureMs: 48, soundMs: 12, voicing: 0.22, noise: 'g' }, [200, 1990, 2650]),
  M: consonant({ soundMs: 70, voicing: 0.55, nasalZeroHz: NASAL, f1BandwidthHz: 110 }, [400, 1150, 2130]),
  N: consonant({ soundMs: 62, voicing: 0.55, nasalZeroHz: NASAL, f1BandwidthHz: 110 }, [400, 1400, 2470]),
  L: consonant({ soundMs: 62, voicing: 0.6, f1BandwidthHz: 80 }, [330, 1050, 2880]),
  R: consonant({ soundMs: 64, voicing: 0.6, f1BandwidthHz: 80 }, [330, 1060, 1450]),
  W: consonant({ soundMs: 62, voicing: 0.6 }, [300, 640, 2150]),
  Y: consonant({ soundMs: 58, voicing: 0.6 }, [270, 2150, 2950]),
}

/** Whether the symbol is one of the ARPAbet consonants known here. */
export function isConsonant(symbol: string): symbol is Consonant {
  return symbol in CONSONANTS
}
