// Splits sound at breaths, which are between phrases or ahead of them. They open the gate that finds the phrases, but a
// phrase begins with its first sung sound. Which frames may be breath, a rule says: by level, as here, or by kind.

import type { Span } from '../maths/span.ts'
import type { LevelTrack } from './level-track.ts'

/** Breaths are this far below the voice's 95th percentile (generated ones 20 dB or more; common practice). */
const BELOW_VOICE_DB = 15
const MIN_SECONDS = 0.18
/** A span between two breaths that is shorter than this is not a phrase. */
const MIN_PHRASE_SECONDS = 0.1
/** Sibilants have at least this share of their power above 3 kHz. */
const SIBILANT_SHARE = 0.6
/** The breath ends at a dip this close before the first strong sound; a soft consonant may be in between. */
const DIP_WITHIN_SECONDS = 0.14

/** A frame 4 dB above the dip is no longer part of it. */
const RISE = 10 ** (4 / 10)

interface SplitPhrases {
  readonly phrases: readonly Span[]
  readonly breaths: readonly Span[]
}

/** Which runs of 10 ms frames are breaths. */
export interface BreathRule {
  readonly isBreath: (frame: number) => boolean
  readonly shortestSeconds: number
  readonly longestSeconds: number
}

/**
 * Breaths by level: weak, unvoiced sound without sibilants.
 * @param isVoiced whether there is voice around a time in seconds
 */
export function breathsByLevel(
  track: LevelTrack,
  voiceDbfs: number,
  isVoiced: (seconds: number) => boolean,
): BreathRule {
  const powers = track.powers.values()
  const highs = track.highPowers.values()
  const limit = 10 ** ((voiceDbfs - BELOW_VOICE_DB) / 10)
  return {
    isBreath: (i) =>
      powers[i] <= limit &&
      highs[i] <= SIBILANT_SHARE * powers[i] &&
      !isVoiced((i + 0.5) * track.frameSeconds),
    shortestSeconds: MIN_SECONDS,
    longestSeconds: Number.POSITIVE_INFINITY,
  }
}

/** Splits spans into phrases and breaths. */
export function splitAtBreaths(
  track: LevelTrack,
  spans: readonly Span[],
  { isBreath, shortestSeconds, longestSeconds }: BreathRule,
): SplitPhrases {
  const { frameSeconds } = track
  const powers = track.powers.values()
  const shortest = Math.round(shortestSeconds / frameSeconds)
  const longest = longestSeconds / frameSeconds
  const dipWithin = Math.round(DIP_WITHIN_SECONDS / frameSeconds)
  const phrases: Span[] = []
  const breaths: Span[] = []
  const keep = (from: number, to: number): void => {
    if ((to - from) * frameSeconds >= MIN_PHRASE_SECONDS) {
      phrases.push({ fromS: from * frameSeconds, toS: to * frameSeconds })
    }
  }
  for (const { fromS, toS } of spans) {
    const end = Math.round(toS / frameSeconds)
    let phraseFrom = Math.round(fromS / frameSeconds)
    for (let i = phraseFrom; i < end; ) {
      if (!isBreath(i)) {
        i++
        continue
      }
      let next = i
      while (next < end && isBreath(next)) next++
      if (next - i >= shortest && next - i <= longest) {
        const dip = quietest(powers, Math.max(i + (shortest >> 1), next - dipWithin), next)
        const breathTo = next === end ? end : riseFrom(powers, dip, next)
        keep(phraseFrom, i)
        breaths.push({ fromS: i * frameSeconds, toS: breathTo * frameSeconds })
        phraseFrom = breathTo
      }
      i = next
    }
    keep(phraseFrom, end)
  }
  return { phrases, breaths }
}

function quietest(powers: Float64Array, from: number, to: number): number {
  let at = from
  for (let i = from; i < to; i++) if (powers[i] <= powers[at]) at = i
  return at
}

/** First frame of the run up to `to` in which every frame is more than RISE louder than the dip. */
function riseFrom(powers: Float64Array, dip: number, to: number): number {
  let at = to
  while (at > dip + 1 && powers[at - 1] > RISE * powers[dip]) at--
  return at
}
