// Interpolates a curve between its points.

import { scaleLog } from 'd3-scale'

/**
 * Level of a curve at any frequency in Hz: linear over log frequency between the points, constant beyond the ends.
 * @param frequenciesHz ascending; a single point gives a constant level
 */
export function levelScale(
  frequenciesHz: readonly number[],
  levelsDb: readonly number[],
): (frequencyHz: number) => number {
  if (frequenciesHz.length < 2) return () => levelsDb[0]
  return scaleLog(frequenciesHz, levelsDb).clamp(true)
}
