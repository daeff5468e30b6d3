// The time stamp of a take: where a recorder says that its first sample belongs, counted from midnight.

import type { Session, Take } from '../../app/contract/entities.ts'
import { formatNumber, withUnit } from '../../app/words/format.ts'
import { OFFSET_BOUNDS } from './bounds.ts'

/** Stamps further from the session's start are times of day or of another project, not places in a song. */
const LONGEST_SONG_S = 20 * 60
/** Material before bar 1: a count-in and a breath. */
const LONGEST_LEAD_IN_S = 30
const DAY_S = 86_400

type Stamped = Pick<Take, 'sampleRateHz' | 'timeReferenceSamples'>

/** Seconds since midnight; null without a stamp. Zero is what recorders without a clock write. */
export const timeStampS = ({ timeReferenceSamples, sampleRateHz }: Stamped): number | null =>
  timeReferenceSamples ? timeReferenceSamples / sampleRateHz : null

/** Where a stamp places a take. */
export interface StampedPlace {
  /** From the session's start, in samples of the session. */
  readonly offsetSamples: number
  /** Whether it can be a place in this song. */
  readonly isInSong: boolean
  /** Whether a layer can lie that far from the session's start. */
  readonly isReachable: boolean
}

/** null without a stamp. */
export function stampedPlace(
  take: Stamped,
  session: Pick<Session, 'startOfDayS' | 'sampleRateHz'>,
): StampedPlace | null {
  const stampS = timeStampS(take)
  if (stampS === null) return null
  const sinceStartS = stampS - session.startOfDayS
  // A stamp that far before the start is one of the night after it.
  const offsetS = sinceStartS < -DAY_S / 2 ? sinceStartS + DAY_S : sinceStartS
  const offsetSamples = Math.round(offsetS * session.sampleRateHz)
  return {
    offsetSamples,
    isReachable: offsetSamples >= OFFSET_BOUNDS.min && offsetSamples <= OFFSET_BOUNDS.max,
    isInSong: offsetS >= -LONGEST_LEAD_IN_S && offsetS <= LONGEST_SONG_S,
  }
}

/**
 * When the session has to start, in whole seconds since midnight, for the stamps of all these takes to be in its
 * song; null without stamps, or if they are too far apart for one song.
 */
export function startForStamps(takes: readonly Stamped[]): number | null {
  const ofDay = takes.map(timeStampS).filter((stampS) => stampS !== null)
  if (ofDay.length === 0) return null
  const last = Math.max(...ofDay)
  // As in stampedPlace: those of the night after belong behind the others.
  const stamps = ofDay.map((stampS) => (stampS - last < -DAY_S / 2 ? stampS + DAY_S : stampS))
  const first = Math.min(...stamps)
  return Math.max(...stamps) - first <= LONGEST_SONG_S ? Math.floor(first) : null
}

/** How far a stamp is from the session's start: '2 h 12 min after the start'. */
export function formatStampDistance(
  offsetSamples: number,
  { sampleRateHz }: Pick<Session, 'sampleRateHz'>,
): string {
  const seconds = Math.abs(offsetSamples) / sampleRateHz
  const side = `${offsetSamples < 0 ? 'before' : 'after'} the start`
  if (seconds < 60) return `${withUnit(formatNumber(seconds, 1), 's')} ${side}`
  const [large, small, perLarge] = seconds < 3600 ? ['min', 's', 60] : ['h', 'min', 3600]
  const parts = Math.round((seconds / perLarge) * 60)
  const rest = parts % 60
  const words = [withUnit(String(Math.floor(parts / 60)), String(large))]
  if (rest > 0) words.push(withUnit(String(rest), String(small)))
  return `${words.join(' ')} ${side}`
}

/** Time of day with milliseconds: 01:00:12.345. */
export function formatTimeStamp(seconds: number): string {
  const ms = Math.round(seconds * 1000)
  const two = (number: number): string => String(Math.floor(number)).padStart(2, '0')
  return `${two(ms / 3_600_000)}:${two((ms / 60_000) % 60)}:${two((ms / 1000) % 60)}.${String(ms % 1000).padStart(3, '0')}`
}

/** Time of day in whole seconds: 01:00:00. */
export const formatTimeOfDay = (seconds: number): string => formatTimeStamp(Math.floor(seconds)).slice(0, -4)
