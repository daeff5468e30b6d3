// Reading a curve between its points.

import { scaleLog } from 'd3-scale'

/**
 * Level of a curve at any frequency in Hz: straight between the points on a log axis, constant beyond the ends.
 * @param frequenciesHz rising; with one point the level is the same everywhere
 */
export function levelScale(
  frequenciesHz: readonly number[],
  levelsDb: readonly number[],
): (frequencyHz: number) => number {
  if (frequenciesHz.length < 2) return () => levelsDb[0]
  return scaleLog(frequenciesHz, levelsDb).clamp(true)
}
