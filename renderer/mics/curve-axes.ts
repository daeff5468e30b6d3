// The axes of a curve's picture: log frequency with the preferred frequencies, level in dB.

import type { CurvePoints } from '../../app/contract/curve.ts'
import { PREFERRED_FREQUENCIES_HZ } from '../parts/preferred-frequencies.ts'

export const LOWEST_HZ = 20
export const HIGHEST_HZ = 20_000

/** Labels of the frequency axis: the octaves of the preferred frequencies (ISO 266) around 1 kHz. */
export const OCTAVE_LABELS_HZ = [31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000, 16_000] as const

export const AXIS_FREQUENCIES_HZ = PREFERRED_FREQUENCIES_HZ.filter(
  (frequencyHz) => frequencyHz >= LOWEST_HZ && frequencyHz <= HIGHEST_HZ,
)

/** 0 at 20 Hz, 1 at 20 kHz. */
export const alongAxis = (frequencyHz: number): number =>
  Math.log(frequencyHz / LOWEST_HZ) / Math.log(HIGHEST_HZ / LOWEST_HZ)

/** Level of a curve at a frequency, straight between points on a log axis, level beyond its ends. */
export function levelAt(curve: CurvePoints, frequencyHz: number): number {
  const { frequenciesHz, levelsDb } = curve
  const above = frequenciesHz.findIndex((point) => point >= frequencyHz)
  if (above === -1) return levelsDb.at(-1)!
  if (above === 0) return levelsDb[0]!
  const low = frequenciesHz[above - 1]!
  const share = Math.log(frequencyHz / low) / Math.log(frequenciesHz[above]! / low)
  return levelsDb[above - 1]! + share * (levelsDb[above]! - levelsDb[above - 1]!)
}

/** The level range of the picture: all curves in whole steps of 5 dB, and at least +-10 dB. */
export function levelRange(
  curves: readonly CurvePoints[],
  shiftsDb: readonly number[],
): { lowDb: number; highDb: number } {
  let lowDb = -10
  let highDb = 10
  for (const [index, curve] of curves.entries()) {
    for (const [at, frequencyHz] of curve.frequenciesHz.entries()) {
      if (frequencyHz < LOWEST_HZ || frequencyHz > HIGHEST_HZ) continue
      const levelDb = curve.levelsDb[at]! + shiftsDb[index]!
      lowDb = Math.min(lowDb, Math.floor(levelDb / 5) * 5)
      highDb = Math.max(highDb, Math.ceil(levelDb / 5) * 5)
    }
  }
  return { lowDb, highDb }
}
