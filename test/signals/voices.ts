// Generated voices for tests: scores of one thing at a time, and performances without
// the strays, rooms and breaths of a real take, so that one property can be measured alone.
import type { Performance, Singer } from '../../app/dsp/voice/performance.ts'
import { phrase, type Score, type SyllableRow } from '../../app/dsp/voice/score.ts'
import { SUNG_BARITONE } from '../../app/dsp/voice/singers.ts'

/** A woman singing, as the demo's baritone sings (typical F0 of women 210 Hz: Traunmüller & Eriksson). */
export const SUNG_ALTO: Singer = {
  ...SUNG_BARITONE,
  name: 'sung alto',
  tract: 'women',
  tonicHz: 220,
  tiltHz: 1200,
  breathinessDb: -22,
}

/** A singer who holds the pitch: no wander, vibrato, scoop, fall, slide or stress. */
export function steady(singer: Singer, tonicHz: number): Singer {
  return {
    ...singer,
    tonicHz,
    driftCents: 0,
    vibratoDepthCents: 0,
    scoopSemitones: 0,
    fallSemitones: 0,
    slideSemitones: 0,
    stressDb: 0,
    stressSemitones: 0,
  }
}

/** Exactly what the score says, at the closest distance to silence. */
export function exactPerformance(singer: Singer): Performance {
  return {
    singer,
    deviations: {
      takeMs: 0,
      phraseMs: 0,
      syllableMs: 0,
      pitchCents: 0,
      lengthPercent: 0,
      levelDb: 0,
      formantPercent: 0,
      sibilantLengthPercent: 0,
    },
    effortDb: 0,
    peakDbfs: -7,
    popLevelDb: -6,
  }
}

/** Syllables at 60 beats a minute, so that beats are seconds after the first one. */
export function plainScore(lengthBeats: number, rows: readonly SyllableRow[]): Score {
  return {
    title: 'test',
    tempoBpm: 60,
    leadInBeats: 1,
    lengthBeats,
    swing: 0.5,
    phrases: [phrase(0, 0, rows, false)],
  }
}

/** One syllable, one and a half seconds long, starting at 1 s. */
export function heldSyllable(spelling: string): Score {
  return plainScore(2, [[0, 1.5, 0, spelling]])
}

/** The same syllable so many times, one every second, each in a phrase of its own. */
export function repeatedSyllable(spelling: string, times: number): Score {
  const phrases = Array.from({ length: times }, (_, i) => phrase(i, 0, [[0, 0.5, 0, spelling]], false))
  return { ...plainScore(times, []), phrases }
}
