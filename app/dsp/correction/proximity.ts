// The proximity effect of a directional capsule, and the low shelf that converts it from one
// distance to another. Source: the spherical wave's ratio of particle velocity to pressure,
// 1 + 1 / (j k r) (L. L. Beranek, Acoustics, chapter 2, from memory): a capsule with a share b
// of pressure gradient has the response |1 + b / (j k r)| on its axis, relative to the far field.

import { analogueBandDb } from '../filters/prototypes.ts'
import type { Band } from '../stages/settings.ts'
import { octaveGridHz } from './curve.ts'

/** At 20 degrees Celsius. */
const SPEED_OF_SOUND_M_S = 343
/** Range that the shelf is fitted over; voices have nothing below it. */
const RANGE_HZ = [50, 2000] as const
const MAX_DB = 12

/** Rise over the far field in dB. */
function proximityDb(gradientShare: number, distanceM: number, frequencyHz: number): number {
  const ratio = (gradientShare * SPEED_OF_SOUND_M_S) / (2 * Math.PI * frequencyHz * distanceM)
  return 10 * Math.log10(1 + ratio * ratio)
}

/**
 * The low shelf that undoes what a singer at `voiceDistanceM` adds to a curve taken at
 * `curveDistanceM`; null where that is less than half a dB at 100 Hz.
 * @param gradientShare 0 for a pressure capsule, 0.5 for a cardioid, 1 for a figure of eight
 */
export function proximityShelf(
  gradientShare: number,
  curveDistanceM: number,
  voiceDistanceM: number,
): Band | null {
  const targetDb = (frequencyHz: number): number =>
    Math.min(
      Math.max(
        proximityDb(gradientShare, curveDistanceM, frequencyHz) -
          proximityDb(gradientShare, voiceDistanceM, frequencyHz),
        -MAX_DB,
      ),
      MAX_DB,
    )
  if (Math.abs(targetDb(100)) < 0.5) return null
  const grid = octaveGridHz(RANGE_HZ[0], RANGE_HZ[1], 6)
  const targetsDb = grid.map(targetDb)
  let best: Band | null = null
  let leastError = Number.POSITIVE_INFINITY
  // A search over a small grid is exact enough for a starting point, and deterministic.
  for (const frequencyHz of octaveGridHz(40, 600, 8)) {
    for (const q of [0.3, 0.35, 0.4, 0.45, 0.5, 0.55, 0.6, 0.7]) {
      const unit = grid.map((f) => analogueBandDb({ shape: 'low-shelf', frequencyHz, gainDb: 6, q }, f) / 6)
      const squares = unit.reduce((sum, level) => sum + level * level, 0)
      const product = unit.reduce((sum, level, i) => sum + level * targetsDb[i], 0)
      const gainDb = Math.min(Math.max(product / squares, -MAX_DB), MAX_DB)
      const band: Band = { shape: 'low-shelf', frequencyHz, gainDb, q }
      const error = grid.reduce((sum, f, i) => sum + (analogueBandDb(band, f) - targetsDb[i]) ** 2, 0)
      if (error < leastError) {
        leastError = error
        best = band
      }
    }
  }
  return best
}
