// Who sings and how: the traits of a voice, and how far one take deviates from the score.
// Every take has its own deviations, so that a double is a second performance and not a copy.
import type { TractKind } from './vowels.ts'

/** What stays the same in a voice from take to take. */
export interface Singer {
  readonly name: string
  readonly tract: TractKind
  /** All formants times this; 1 is the published average. */
  readonly formantScale: number
  /** Pitch of the score's semitone 0. */
  readonly tonicHz: number
  /** Where the voice source begins to fall 6 dB per octave faster, at full voice; soft singing lowers it. */
  readonly tiltHz: number
  /** Breath noise in the voice relative to its pulses. */
  readonly breathinessDb: number
  /** Standard deviation of the period from one to the next. */
  readonly jitterPercent: number
  /** Standard deviation of the pulse amplitude from one to the next. */
  readonly shimmerPercent: number
  /** Standard deviation of the slow wander of pitch. */
  readonly driftCents: number
  readonly vibratoRateHz: number
  /** Peak deviation; 0 for a voice without vibrato. */
  readonly vibratoDepthCents: number
  /** How far below the first note of a phrase the voice starts. */
  readonly scoopSemitones: number
  /** How far the pitch drops at the end of a phrase. */
  readonly fallSemitones: number
  /** How far the pitch falls within every syllable: near 0 sung, one or two semitones spoken. */
  readonly slideSemitones: number
  readonly glideMs: number
  readonly stressDb: number
  readonly stressSemitones: number
}

/** Standard deviations of one take from the score. */
interface Deviations {
  /** The whole take early or late. */
  readonly takeMs: number
  /** Each phrase early or late. */
  readonly phraseMs: number
  /** Each syllable, wandering: neighbours deviate alike (first-order autoregression, 0.5). */
  readonly syllableMs: number
  readonly pitchCents: number
  readonly lengthPercent: number
  readonly levelDb: number
  readonly formantPercent: number
  readonly sibilantLengthPercent: number
}

/** Sounds that the room and the line add. */
export interface Room {
  readonly reflections: readonly { readonly delayMs: number; readonly levelDb: number }[]
  /** RMS level of the steady noise. */
  readonly noiseFloorDbfs: number
}

/** One pass at the microphone. */
export interface Performance {
  readonly singer: Singer
  readonly deviations: Deviations
  /** Vocal effort, added to the level of every phrase: -6 is a soft double, darker as well as quieter. */
  readonly effortDb: number
  /** The sample peak that the recording gain was set for. */
  readonly peakDbfs: number
  /** Peak of the thump of a /p/ at the microphone relative to the vowels' RMS. */
  readonly popLevelDb: number
  /** RMS of the breaths between phrases relative to the vowels at full effort; -27 where nothing is said. */
  readonly breathLevelDb?: number
  readonly room?: Room
}

/** A lead: sure of pitch and time, as a rehearsed singer is. */
export const LEAD_DEVIATIONS: Deviations = {
  takeMs: 0,
  phraseMs: 6,
  syllableMs: 6,
  pitchCents: 8,
  lengthPercent: 3,
  levelDb: 0.8,
  formantPercent: 0.5,
  sibilantLengthPercent: 10,
}

/**
 * A double sung tight to the lead. Pitch: choir unisons spread by 16 to 30 cents (Cuesta et al. 2018), and a
 * singer doubling their own part by less. Time: skilled trios differ by 27 to 49 ms (Rasch 1979); doubles are
 * meant to be closer.
 */
export const TIGHT_DOUBLE_DEVIATIONS: Deviations = {
  takeMs: 10,
  phraseMs: 12,
  syllableMs: 12,
  pitchCents: 14,
  lengthPercent: 5,
  levelDb: 1.5,
  formantPercent: 1.5,
  sibilantLengthPercent: 20,
}

/** A double sung loosely: the spread of a skilled ensemble. */
export const LOOSE_DOUBLE_DEVIATIONS: Deviations = {
  ...TIGHT_DOUBLE_DEVIATIONS,
  syllableMs: 30,
  pitchCents: 22,
}
