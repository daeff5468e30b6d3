// Times every vowel, consonant and breath of one take in seconds, from the score and the deviations of
// that take. The plan is also the ground truth that comes with the sound.
import type { Random } from '../maths/random.ts'
import { CONSONANTS, type Consonant } from './consonants.ts'
import type { Performance } from './performance.ts'
import { type Phrase, type Score, type Syllable, secondsAtBeat, takeSeconds } from './score.ts'
import type { Vowel } from './vowels.ts'

/** A consonant with its times. `scale` is its length relative to the unhurried one. */
export interface PlannedConsonant {
  readonly symbol: Consonant
  readonly startSeconds: number
  readonly endSeconds: number
  readonly scale: number
}

/** A syllable with its times and pitch in one take. */
export interface PlannedSyllable {
  readonly phraseIndex: number
  readonly beat: number
  /** Start of the first onset consonant, its closure included. */
  readonly consonantStartSeconds: number
  readonly vowelStartSeconds: number
  /** End of the vowel, start of the coda. */
  readonly vowelEndSeconds: number
  readonly endSeconds: number
  readonly onset: readonly PlannedConsonant[]
  readonly vowel: Vowel
  readonly coda: readonly PlannedConsonant[]
  /** Above the singer's tonic, deviations and stress included. */
  readonly pitchSemitones: number
  readonly levelDb: number
  /** Factor on the formants. */
  readonly formantScale: number
  readonly stress: number
}

/** Everything that happens in one take. */
export interface Plan {
  readonly seconds: number
  readonly syllables: readonly PlannedSyllable[]
  readonly breaths: readonly { readonly startSeconds: number; readonly endSeconds: number }[]
}

/** Largest share of the time between two vowels' starts that consonants may take. */
const CONSONANT_SHARE = 0.5
const MIN_VOWEL_SECONDS = 0.045
/** Silences shorter than this are sung through. */
const LEGATO_SECONDS = 0.035
const SYLLABLE_STRAY_MEMORY = 0.5
/** Earliest moment of a take at which anything sounds. */
const EARLIEST_SECONDS = 0.02

interface Draft {
  readonly syllable: Syllable
  readonly phraseIndex: number
  readonly phrase: Phrase
  readonly vowelStartSeconds: number
  readonly endSeconds: number
  readonly onsetSeconds: readonly number[]
  readonly codaSeconds: readonly number[]
}

/** Lays out one take. The same score, performance and state of the generator give the same plan. */
export function planPerformance(score: Score, performance: Performance, random: Random): Plan {
  const drafts = placeVowels(score, performance, random)
  const syllables: PlannedSyllable[] = []
  let previousEndSeconds = 0
  for (let i = 0; i < drafts.length; i++) {
    const planned = placeConsonants(drafts, i, previousEndSeconds, performance, random)
    previousEndSeconds = planned.endSeconds
    syllables.push(planned)
  }
  const seconds = takeSeconds(score)
  return { seconds, syllables, breaths: placeBreaths(score, syllables, random) }
}

function placeVowels(score: Score, performance: Performance, random: Random): Draft[] {
  const strays = performance.deviations
  const drafts: Draft[] = []
  const takeStray = (random.normal() * strays.takeMs) / 1000
  let wander = random.normal()
  let previousSeconds = EARLIEST_SECONDS - MIN_VOWEL_SECONDS
  for (const [phraseIndex, phrase] of score.phrases.entries()) {
    const phraseStray = takeStray + (random.normal() * strays.phraseMs) / 1000
    for (const syllable of phrase.syllables) {
      wander = SYLLABLE_STRAY_MEMORY * wander + Math.sqrt(1 - SYLLABLE_STRAY_MEMORY ** 2) * random.normal()
      const stray = phraseStray + (wander * strays.syllableMs) / 1000
      const vowelStartSeconds = Math.max(
        previousSeconds + MIN_VOWEL_SECONDS,
        secondsAtBeat(score, syllable.beat) + stray,
      )
      previousSeconds = vowelStartSeconds
      const length =
        secondsAtBeat(score, syllable.beat + syllable.lengthBeats) - secondsAtBeat(score, syllable.beat)
      drafts.push({
        syllable,
        phraseIndex,
        phrase,
        vowelStartSeconds,
        endSeconds: vowelStartSeconds + length * (1 + (random.normal() * strays.lengthPercent) / 100),
        onsetSeconds: syllable.onset.map((symbol) => consonantSeconds(symbol, performance, random)),
        codaSeconds: syllable.coda.map((symbol) => consonantSeconds(symbol, performance, random)),
      })
    }
  }
  return drafts
}

function consonantSeconds(symbol: Consonant, performance: Performance, random: Random): number {
  const { closureMs, soundMs, aspirationMs, noise } = CONSONANTS[symbol]
  const spreadPercent =
    noise === 's' || noise === 'z' || noise === 'sh'
      ? performance.deviations.sibilantLengthPercent
      : performance.deviations.lengthPercent
  const factor = Math.max(0.5, 1 + (random.normal() * spreadPercent) / 100)
  return ((closureMs + soundMs + aspirationMs) / 1000) * factor
}

/** Factor that shortens the consonants between vowels `i - 1` and `i` to leave room for the vowel. */
function hurry(drafts: readonly Draft[], i: number): number {
  const onset = i < drafts.length ? sum(drafts[i].onsetSeconds) : 0
  const coda = i > 0 ? sum(drafts[i - 1].codaSeconds) : 0
  if (onset + coda === 0) return 1
  const startSeconds = i > 0 ? drafts[i - 1].vowelStartSeconds : 0
  const room = i < drafts.length ? drafts[i].vowelStartSeconds - startSeconds : Number.POSITIVE_INFINITY
  return Math.min(1, (CONSONANT_SHARE * room) / (onset + coda))
}

function placeConsonants(
  drafts: readonly Draft[],
  i: number,
  previousEndSeconds: number,
  performance: Performance,
  random: Random,
): PlannedSyllable {
  const { syllable, phrase, phraseIndex, vowelStartSeconds, ...draft } = drafts[i]
  const { singer, deviations, effortDb } = performance
  const before = hurry(drafts, i)
  const after = hurry(drafts, i + 1)
  const onset = layOut(syllable.onset, draft.onsetSeconds, before, vowelStartSeconds, -1)
  const codaSeconds = sum(draft.codaSeconds) * after
  const nextSeconds =
    i + 1 < drafts.length
      ? drafts[i + 1].vowelStartSeconds - sum(drafts[i + 1].onsetSeconds) * after
      : Number.POSITIVE_INFINITY
  const wanted = Math.max(draft.endSeconds, vowelStartSeconds + MIN_VOWEL_SECONDS + codaSeconds)
  const endSeconds = nextSeconds - wanted < LEGATO_SECONDS ? nextSeconds : wanted
  const vowelEndSeconds = endSeconds - codaSeconds
  const sung = syllable.pitchSemitones + syllable.stress * singer.stressSemitones
  return {
    phraseIndex,
    beat: syllable.beat,
    consonantStartSeconds:
      onset.length > 0 ? Math.max(onset[0].startSeconds, previousEndSeconds) : vowelStartSeconds,
    vowelStartSeconds,
    vowelEndSeconds,
    endSeconds,
    onset,
    vowel: syllable.vowel,
    coda: layOut(syllable.coda, draft.codaSeconds, after, vowelEndSeconds, 1),
    pitchSemitones: sung + (random.normal() * deviations.pitchCents) / 100,
    levelDb:
      effortDb + phrase.levelDb + syllable.stress * singer.stressDb + random.normal() * deviations.levelDb,
    formantScale: singer.formantScale * (1 + (random.normal() * deviations.formantPercent) / 100),
    stress: syllable.stress,
  }
}

/** Consonants one after another, ending at the given time (`direction` -1) or starting from it (1). */
function layOut(
  symbols: readonly Consonant[],
  seconds: readonly number[],
  scale: number,
  momentSeconds: number,
  direction: 1 | -1,
): PlannedConsonant[] {
  let startSeconds = direction === 1 ? momentSeconds : momentSeconds - sum(seconds) * scale
  return symbols.map((symbol, i) => {
    const endSeconds = startSeconds + seconds[i] * scale
    const planned = { symbol, startSeconds, endSeconds, scale }
    startSeconds = endSeconds
    return planned
  })
}

function placeBreaths(score: Score, syllables: readonly PlannedSyllable[], random: Random): Plan['breaths'] {
  const breaths: { startSeconds: number; endSeconds: number }[] = []
  for (const [phraseIndex, phrase] of score.phrases.entries()) {
    const first = syllables.findIndex((syllable) => syllable.phraseIndex === phraseIndex)
    const wantedSeconds = 0.3 + 0.2 * random.uniform()
    if (!phrase.breath || first < 0) continue
    const endSeconds = syllables[first].consonantStartSeconds - 0.03
    const startSeconds = Math.max(
      endSeconds - wantedSeconds,
      first > 0 ? syllables[first - 1].endSeconds + 0.04 : EARLIEST_SECONDS,
    )
    // A shorter gasp would not be heard as a breath.
    if (endSeconds - startSeconds > 0.12) breaths.push({ startSeconds, endSeconds })
  }
  return breaths
}

function sum(values: readonly number[]): number {
  let total = 0
  for (const value of values) total += value
  return total
}
