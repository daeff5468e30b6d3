// The phrases of a take: what sounds between pauses, split at breaths, and only where there is voice in it. Breaths are
// told by their kind, not their level, because those of a take that was compressed while tracking are nearly as loud as
// its voice.

import { type BreathRule, splitAtBreaths } from '../check/breaths.ts'
import { type Doubt, doubtOf } from '../check/material.ts'
import { type FloorAndVoice, floorAndVoice } from '../check/noise-floor.ts'
import { soundingSpans } from '../check/phrases.ts'
import type { Span } from '../maths/span.ts'
import type { VoiceFrames } from './voice-frames.ts'

/** Phrases and breaths of one take, in order. */
export interface FoundPhrases {
  readonly phrases: readonly Span[]
  readonly breaths: readonly Span[]
  readonly level: FloorAndVoice
  /** Why no phrases were looked for, or null; nothing is looked for in music or steady noise. */
  readonly doubt: Exclude<Doubt, 'none' | 'short'> | null
}

/** A frame is breath under this periodicity and over this flatness, and not bright. */
const UNVOICED_BELOW = 0.5
const FLAT_ABOVE_DB = -9.5
/** Breaths are this far over the floor and under the voice's 95th percentile. */
const OVER_FLOOR_DB = 5
const UNDER_VOICE_DB = 8
const SHORTEST_BREATH_SECONDS = 0.12
const LONGEST_BREATH_SECONDS = 1.2
/** A phrase has voice in at least this share of its frames. */
const LEAST_VOICED = 0.1
/** Floor of takes in which none could be read. */
const NO_FLOOR_DBFS = -100

export function findPhrases(frames: VoiceFrames): FoundPhrases {
  const { track, seconds } = frames
  const level = floorAndVoice(track)
  const sounding = soundingSpans(track, level)
  const soundSeconds = sounding.reduce((sum, { fromS, toS }) => sum + toS - fromS, 0)
  const doubt = doubtOf({
    seconds,
    ...level,
    lowAgainstVoiceDb: frames.lowAgainstVoiceDb(sounding),
    soundSeconds,
  })
  if (doubt !== 'none' && doubt !== 'short') return { phrases: [], breaths: [], level, doubt }
  const { phrases, breaths } = splitAtBreaths(track, sounding, breathsByKind(frames, level))
  return { phrases: phrases.filter((span) => isVoice(frames, span)), breaths, level, doubt: null }
}

function breathsByKind(
  { track, periodicity, flatnessDb, bright }: VoiceFrames,
  { floorDbfs, voiceDbfs }: FloorAndVoice,
): BreathRule {
  const powers = track.powers.values()
  const least = 10 ** (((floorDbfs ?? NO_FLOOR_DBFS) + OVER_FLOOR_DB) / 10)
  const most = 10 ** (((voiceDbfs ?? 0) - UNDER_VOICE_DB) / 10)
  return {
    isBreath: (i) =>
      middle(periodicity[i - 1] ?? 0, periodicity[i], periodicity[i + 1] ?? 0) < UNVOICED_BELOW &&
      flatnessDb[i] > FLAT_ABOVE_DB &&
      bright[i] === 0 &&
      powers[i] >= least &&
      powers[i] <= most,
    shortestSeconds: SHORTEST_BREATH_SECONDS,
    longestSeconds: LONGEST_BREATH_SECONDS,
  }
}

/** The middle one of three values: noise looks periodic in single frames by chance. */
const middle = (a: number, b: number, c: number): number =>
  Math.max(Math.min(a, b), Math.min(Math.max(a, b), c))

function isVoice({ track, periodicity }: VoiceFrames, { fromS, toS }: Span): boolean {
  const from = Math.round(fromS / track.frameSeconds)
  const to = Math.round(toS / track.frameSeconds)
  let voiced = 0
  for (let i = from; i < to; i++) if (periodicity[i] >= UNVOICED_BELOW) voiced++
  return voiced >= LEAST_VOICED * (to - from)
}
