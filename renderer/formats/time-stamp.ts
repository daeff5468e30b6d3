// The time stamp of a take: where a recorder says that its first sample belongs, counted from midnight.

import type { Session, Take } from '../../app/contract/entities.ts'

/** Stamps further from the session's start are times of day or of another project, not places in a song. */
const LONGEST_SONG_S = 20 * 60
/** Material before bar 1: a count-in and a breath. */
const LONGEST_LEAD_IN_S = 30

type Stamped = Pick<Take, 'sampleRateHz'> & { readonly timeReferenceSamples?: number | null }

/** Seconds since midnight; null without a stamp. Zero is what recorders without a clock write. */
export const timeStampS = ({ timeReferenceSamples, sampleRateHz }: Stamped): number | null =>
  timeReferenceSamples ? timeReferenceSamples / sampleRateHz : null

/** Where a stamp places a take. */
export interface StampedPlace {
  /** From the session's start, in samples of the session. */
  readonly offsetSamples: number
  /** Whether it can be a place in this song. */
  readonly isInSong: boolean
}

/** null without a stamp. */
export function stampedPlace(
  take: Stamped,
  session: Pick<Session, 'startOfDayS' | 'sampleRateHz'>,
): StampedPlace | null {
  const stampS = timeStampS(take)
  if (stampS === null) return null
  const offsetS = stampS - session.startOfDayS
  return {
    offsetSamples: Math.round(offsetS * session.sampleRateHz),
    isInSong: offsetS >= -LONGEST_LEAD_IN_S && offsetS <= LONGEST_SONG_S,
  }
}

/** Time of day with milliseconds: 01:00:12.345. */
export function formatTimeStamp(seconds: number): string {
  const ms = Math.round(seconds * 1000)
  const two = (number: number): string => String(Math.floor(number)).padStart(2, '0')
  return `${two(ms / 3_600_000)}:${two((ms / 60_000) % 60)}:${two((ms / 1000) % 60)}.${String(ms % 1000).padStart(3, '0')}`
}
