// The part of a long take that is measured first after a change, so that figures are there before those of the whole.

import type { Take } from '../../../app/contract/entities.ts'

/** Long enough for a phrase or two, and measured within a second. */
const PART_S = 15
/** A take or range that is no longer is measured at once. */
const SHORT_S = 30

/** Seconds of the take. */
export interface TakeSeconds {
  readonly fromSeconds: number
  readonly toSeconds: number
}

type PhrasedTake = Pick<Take, 'frames' | 'sampleRateHz' | 'facts'>

/**
 * Of what the figures are shown of, the 15 s that hold the most energy of phrases; without phrases its middle. It goes
 * by the take alone, so that the parts of two settings can be compared.
 * @param range that the figures are of; null for the whole take
 * @returns null where the whole take is measured as soon
 */
export function firstPartOf(take: PhrasedTake, range: TakeSeconds | null): TakeSeconds | null {
  const takeSeconds = take.frames / take.sampleRateHz
  if (takeSeconds <= SHORT_S) return null
  const whole = { fromSeconds: 0, toSeconds: takeSeconds }
  const asked =
    range === null
      ? whole
      : {
          fromSeconds: Math.max(0, range.fromSeconds),
          toSeconds: Math.min(takeSeconds, range.toSeconds),
        }
  // Figures of a range without sound are those of the whole take.
  const { fromSeconds, toSeconds } = asked.toSeconds > asked.fromSeconds ? asked : whole
  if (toSeconds - fromSeconds <= PART_S) return { fromSeconds, toSeconds }
  const phrases = take.facts.check?.phrases ?? []
  const last = toSeconds - PART_S
  const middle = (fromSeconds + last) / 2
  const energyFrom = (from: number): number =>
    phrases.reduce((sum, { fromS, toS, levelDbfs }) => {
      const seconds = Math.min(toS, from + PART_S) - Math.max(fromS, from)
      return seconds <= 0 ? sum : sum + seconds * 10 ** (levelDbfs / 10)
    }, 0)
  const starts = phrases.map(({ fromS }) => Math.min(last, Math.max(fromSeconds, fromS)))
  let best = middle
  for (const from of starts) if (energyFrom(from) > energyFrom(best)) best = from
  return { fromSeconds: best, toSeconds: best + PART_S }
}
