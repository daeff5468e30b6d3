// Whether a take was likely compressed while it was tracked: a hint, never a fact. At least
// two of three signs are required: noise that rises after phrases end, levels packed close to
// their maximum, and onsets that overshoot more the louder they are. (Our own measure; no
// published backing.)

import { dbFromPower } from '../maths/decibels.ts'
import { median } from '../maths/median.ts'
import type { Span } from '../maths/span.ts'
import type { LevelTrack } from './level-track.ts'

/** Signs of compression while recording. */
export interface TrackedCompression {
  readonly isLikely: boolean
  /** Late (0.4 s on) minus early (0.06 to 0.22 s) noise level after phrases, dB; null: too few pauses. */
  readonly noiseRiseDb: number | null
  /** 95th minus 50th percentile of the 400 ms levels while the voice sounds. */
  readonly levelSpreadDb: number | null
  /** How much more loud onsets overshoot than soft ones, dB per dB of their level. */
  readonly overshootSlope: number | null
}

/** Takes without compression stay below 0.15 dB, with or without breaths. */
const RISE_LEAST_DB = 0.25
/** Greatest level spread of a compressed take. */
export const SPREAD_MOST_DB = 3.3
const SLOPE_LEAST = 0.25
const CORRELATION_LEAST = 0.6
const MIN_PHRASES = 4
const MIN_ONSETS = 8
/** After the end of a phrase, when its own sound is gone and a fast release is not yet over. */
const EARLY_FROM_SECONDS = 0.06
const EARLY_TO_SECONDS = 0.22
const LATE_FROM_SECONDS = 0.4
const MIN_PAUSE_FRAMES = 8

/** @param isPause 1 for each level frame within a pause */
export function trackedCompression(
  track: LevelTrack,
  spans: readonly Span[],
  isPause: Uint8Array,
): TrackedCompression {
  const noiseRiseDb = noiseRise(track, spans, isPause)
  const levelSpreadDb = levelSpread(track, spans)
  const overshootSlope = overshoot(track, spans)
  const marks = [
    noiseRiseDb !== null && noiseRiseDb >= RISE_LEAST_DB,
    levelSpreadDb !== null && levelSpreadDb <= SPREAD_MOST_DB,
    overshootSlope !== null && overshootSlope >= SLOPE_LEAST,
  ]
  return { isLikely: marks.filter((mark) => mark).length >= 2, noiseRiseDb, levelSpreadDb, overshootSlope }
}

/** Late minus early level of the noise in dB, median over the pauses; breaths are left out. */
function noiseRise(track: LevelTrack, spans: readonly Span[], isPause: Uint8Array): number | null {
  const levels = track.powers.values()
  const { frameSeconds } = track
  const rises: number[] = []
  for (const [i, { toS }] of spans.entries()) {
    const end = Math.round((spans[i + 1]?.fromS ?? levels.length * frameSeconds) / frameSeconds)
    const start = Math.round(toS / frameSeconds)
    const earlyTo = start + Math.round(EARLY_TO_SECONDS / frameSeconds)
    const lateFrom = start + Math.round(LATE_FROM_SECONDS / frameSeconds)
    const early = pauseDb(levels, isPause, start + Math.round(EARLY_FROM_SECONDS / frameSeconds), earlyTo)
    const late = pauseDb(levels, isPause, lateFrom, end)
    if (early !== null && late !== null) rises.push(late - early)
  }
  return rises.length < MIN_PHRASES ? null : median(rises)
}

/**
 * Median level in dB of the pause frames within a range, because edges of breaths would move a mean; null
 * for fewer than MIN_PAUSE_FRAMES.
 */
function pauseDb(levels: Float64Array, isPause: Uint8Array, from: number, to: number): number | null {
  const found: number[] = []
  for (let i = from; i < to; i++) if (isPause[i] === 1) found.push(levels[i])
  return found.length < MIN_PAUSE_FRAMES ? null : dbFromPower(median(found))
}

function levelSpread(track: LevelTrack, spans: readonly Span[]): number | null {
  const levels = track.powers.values()
  const found: number[] = []
  for (const { fromS, toS } of spans) {
    for (let at = fromS; at + 0.4 <= toS; at += 0.2) {
      const level = meanDb(levels, track.frameSeconds, at, at + 0.4)
      if (level !== null) found.push(level)
    }
  }
  if (found.length < 20) return null
  found.sort((a, b) => a - b)
  return found[Math.floor(0.95 * found.length)] - found[Math.floor(0.5 * found.length)]
}

/** Slope of (peak of the first 60 ms over the level from 80 to 160 ms) against that level. */
function overshoot(track: LevelTrack, spans: readonly Span[]): number | null {
  const levels = track.powers.values()
  const peaks = track.peaks.values()
  const loud: number[] = []
  const over: number[] = []
  for (const { fromS, toS } of spans) {
    if (toS - fromS < 0.25) continue
    const at = Math.round(fromS / track.frameSeconds)
    let peak = 0
    for (let i = at; i < at + 6; i++) peak = Math.max(peak, peaks[i])
    const level = meanDb(levels, track.frameSeconds, fromS + 0.08, fromS + 0.16)
    if (level === null || peak === 0) continue
    loud.push(level)
    over.push(20 * Math.log10(peak) - level)
  }
  if (loud.length < MIN_ONSETS) return null
  const meanLoud = mean(loud)
  const meanOver = mean(over)
  let xy = 0
  let xx = 0
  let yy = 0
  for (const [i, level] of loud.entries()) {
    xy += (level - meanLoud) * (over[i] - meanOver)
    xx += (level - meanLoud) ** 2
    yy += (over[i] - meanOver) ** 2
  }
  const isSteady = xy >= CORRELATION_LEAST * Math.sqrt(xx * yy)
  return isSteady && xx > MIN_ONSETS ? xy / xx : 0
}

function meanDb(levels: Float64Array, frameSeconds: number, fromS: number, toS: number): number | null {
  const from = Math.max(0, Math.round(fromS / frameSeconds))
  const to = Math.min(levels.length, Math.round(toS / frameSeconds))
  let sum = 0
  for (let i = from; i < to; i++) sum += levels[i]
  return to > from && sum > 0 ? dbFromPower(sum / (to - from)) : null
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length
}
