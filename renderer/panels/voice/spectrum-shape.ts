// Third-octave levels for drawing: points, part of a curve between two frequencies, and the range
// of the level axis.

import { PREFERRED_FREQUENCIES_HZ } from '../../formats/preferred-frequencies.ts'
import { levelScale } from '../../parts/plot/level-scale.ts'

/** Bands of voice spectra: 50 Hz to 16 kHz (ISO 266 nominal values). */
export const VOICE_BANDS_HZ = PREFERRED_FREQUENCIES_HZ.filter(
  (frequencyHz) => frequencyHz >= 50 && frequencyHz <= 16_000,
)

/** Level of one third-octave band at its nominal frequency. */
export interface SpectrumPoint {
  readonly frequencyHz: number
  readonly levelDb: number
}

/** Points of the bands that have a level. @param levels in dB, in the order of `VOICE_BANDS_HZ` */
export const pointsOf = (levels: readonly (number | null)[]): readonly SpectrumPoint[] =>
  levels.flatMap((levelDb, i) => {
    const frequencyHz = VOICE_BANDS_HZ[i]
    return levelDb === null || frequencyHz === undefined ? [] : [{ frequencyHz, levelDb }]
  })

/** Level in dB, interpolated linearly over log frequency; null beyond the ends. */
export function levelBetween(points: readonly SpectrumPoint[], frequencyHz: number): number | null {
  const first = points[0]
  const last = points.at(-1)
  if (first === undefined || last === undefined) return null
  if (frequencyHz < first.frequencyHz || frequencyHz > last.frequencyHz) return null
  return levelScale(
    points.map((point) => point.frequencyHz),
    points.map((point) => point.levelDb),
  )(frequencyHz)
}

/** Part of a curve between two frequencies, with interpolated ends; empty if they do not overlap. */
export function pieceOf(
  points: readonly SpectrumPoint[],
  fromHz: number,
  toHz: number,
): readonly SpectrumPoint[] {
  if (points.length === 0) return []
  const startHz = Math.max(fromHz, points[0].frequencyHz)
  const endHz = Math.min(toHz, points[points.length - 1].frequencyHz)
  if (startHz >= endHz) return []
  const end = (frequencyHz: number): SpectrumPoint => ({
    frequencyHz,
    levelDb: levelBetween(points, frequencyHz)!,
  })
  const inside = points.filter(({ frequencyHz }) => frequencyHz > startHz && frequencyHz < endHz)
  return [end(startHz), ...inside, end(endHz)]
}

/** Range in dB that contains the levels, rounded to tens; cut at the bottom to at most `mostDb`. */
export function levelSpan(
  levels: readonly (number | null)[],
  mostDb: number,
): { readonly fromDb: number; readonly toDb: number } {
  const known = levels.filter((level) => level !== null)
  if (known.length === 0) return { fromDb: -80, toDb: -20 }
  const toDb = Math.ceil((Math.max(...known) + 3) / 10) * 10
  return { fromDb: Math.max(toDb - mostDb, Math.floor((Math.min(...known) - 3) / 10) * 10), toDb }
}
