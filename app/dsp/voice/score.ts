// What is sung or rapped: phrases of syllables on a tempo grid, spelled in ARPAbet and
// pitched in semitones above the singer's own tonic.
import { type Consonant, isConsonant } from './consonants.ts'
import { isVowel, type Vowel } from './vowels.ts'

/** One syllable. Its vowel, not its consonant, starts on the beat (the perceptual centre of the syllable). */
export interface Syllable {
  /** Quarter notes after bar one. */
  readonly beat: number
  /** From the vowel's start to the end of the syllable, quarter notes. */
  readonly lengthBeats: number
  /** Above the singer's tonic. */
  readonly pitchSemitones: number
  readonly onset: readonly Consonant[]
  readonly vowel: Vowel
  readonly coda: readonly Consonant[]
  /** 0 unstressed to 1 stressed. */
  readonly stress: number
}

/** Syllables in one breath. */
export interface Phrase {
  /** Intended level relative to the singer's full voice; soft phrases are also darker. */
  readonly levelDb: number
  /** Whether an audible breath comes before it. */
  readonly breath: boolean
  /** In order of beat. */
  readonly syllables: readonly Syllable[]
}

/** A part to be sung. All takes of one score start together, `leadInBeats` before bar one. */
export interface Score {
  readonly title: string
  readonly tempoBpm: number
  readonly leadInBeats: number
  /** From bar one to the end of the take. */
  readonly lengthBeats: number
  /** Share of an eighth note that its first sixteenth takes: 0.5 is straight, 0.6 swings. */
  readonly swing: number
  readonly phrases: readonly Phrase[]
}

/** Beat, length in beats, semitones above the tonic, ARPAbet such as 'S T AY K', stress (0 if left out). */
export type SyllableRow = readonly [
  beat: number,
  lengthBeats: number,
  pitchSemitones: number,
  spelling: string,
  stress?: number,
]

/**
 * A phrase from rows whose beats count from `startBeat`.
 * @throws RangeError for a spelling that is not one vowel between optional consonants
 */
export function phrase(
  startBeat: number,
  levelDb: number,
  rows: readonly SyllableRow[],
  breath = true,
): Phrase {
  const syllables = rows.map(([beat, lengthBeats, pitchSemitones, spelling, stress]) => ({
    beat: startBeat + beat,
    lengthBeats,
    pitchSemitones,
    ...spell(spelling),
    stress: stress ?? 0,
  }))
  return { levelDb, breath, syllables }
}

function spell(spelling: string): Pick<Syllable, 'onset' | 'vowel' | 'coda'> {
  const onset: Consonant[] = []
  const coda: Consonant[] = []
  let vowel: Vowel | undefined
  for (const symbol of spelling.split(' ')) {
    if (isVowel(symbol) && vowel === undefined) vowel = symbol
    else if (isConsonant(symbol)) (vowel === undefined ? onset : coda).push(symbol)
    else throw new RangeError(`'${spelling}' is no syllable: '${symbol}' is unknown or a second vowel`)
  }
  if (vowel === undefined) throw new RangeError(`'${spelling}' is no syllable: it has no vowel`)
  return { onset, vowel, coda }
}

/** Seconds from the start of the take to a beat, swing included. */
export function secondsAtBeat(score: Score, beat: number): number {
  const eighth = Math.floor(beat * 2) / 2
  const within = (beat - eighth) * 2
  const swung = within < 0.5 ? within * 2 * score.swing : score.swing + (within - 0.5) * 2 * (1 - score.swing)
  return ((score.leadInBeats + eighth + swung / 2) * 60) / score.tempoBpm
}

/** Length of a take of the score in seconds. */
export function takeSeconds(score: Score): number {
  return ((score.leadInBeats + score.lengthBeats) * 60) / score.tempoBpm
}
