// The axes of a curve's picture: log frequency with the preferred frequencies, level in dB.

import type { CurvePoints } from '../../../app/contract/curve.ts'
import { PREFERRED_FREQUENCIES_HZ } from '../../formats/preferred-frequencies.ts'

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

/** As levelAt, and null where the curve has no data. */
export function levelWithin(curve: CurvePoints, frequencyHz: number): number | null {
  const { frequenciesHz } = curve
  if (frequenciesHz.length === 0) return null
  const isInside =
    frequencyHz >= frequenciesHz[0]! * (1 - 1e-9) && frequencyHz <= frequenciesHz.at(-1)! * (1 + 1e-9)
  return isInside ? levelAt(curve, frequencyHz) : null
}

/** The part of a curve between two frequencies, for lines that mean nothing beyond. */
export function curveWithin(curve: CurvePoints, fromHz: number, toHz: number): CurvePoints {
  const kept = curve.frequenciesHz.flatMap((frequencyHz, i) =>
    frequencyHz >= fromHz * 0.999 && frequencyHz <= toHz * 1.001 ? [i] : [],
  )
  return {
    frequenciesHz: kept.map((i) => curve.frequenciesHz[i]!),
    levelsDb: kept.map((i) => curve.levelsDb[i]!),
  }
}

/** Where curves are laid through 0 dB, so that their shapes compare. */
export type Normalising =
  | { readonly kind: 'as they are' }
  | { readonly kind: 'at'; readonly frequencyHz: number }
  | { readonly kind: 'over'; readonly fromHz: number; readonly toHz: number }

/** What is added to all levels of a curve. A range counts as far as the curve has data in it. */
export function normalisingShiftDb(curve: CurvePoints, normalising: Normalising): number {
  switch (normalising.kind) {
    case 'as they are':
      return 0
    case 'at':
      return -levelAt(curve, normalising.frequencyHz)
    case 'over': {
      const fromHz = Math.max(normalising.fromHz, curve.frequenciesHz[0]!)
      const toHz = Math.min(normalising.toHz, curve.frequenciesHz.at(-1)!)
      if (toHz <= fromHz) return -levelAt(curve, fromHz)
      return -meanLevel(curve, fromHz, toHz)
    }
  }
}

/** Mean of the level over a range of log frequency, straight between the points. */
function meanLevel(curve: CurvePoints, fromHz: number, toHz: number): number {
  const inside = curve.frequenciesHz.filter((frequencyHz) => frequencyHz > fromHz && frequencyHz < toHz)
  const grid = [fromHz, ...inside, toHz]
  let area = 0
  for (let i = 1; i < grid.length; i++) {
    const width = Math.log(grid[i]! / grid[i - 1]!)
    area += (width * (levelAt(curve, grid[i]!) + levelAt(curve, grid[i - 1]!))) / 2
  }
  return area / Math.log(toHz / fromHz)
}

/** The level range of the picture: all curves in whole steps of 5 dB, and at least so far both ways. */
export function levelRange(
  curves: readonly CurvePoints[],
  shiftsDb: readonly number[],
  leastDb = 10,
  mostDb = 60,
): { lowDb: number; highDb: number } {
  let lowDb = -leastDb
  let highDb = leastDb
  for (const [index, curve] of curves.entries()) {
    for (const [at, frequencyHz] of curve.frequenciesHz.entries()) {
      if (frequencyHz < LOWEST_HZ || frequencyHz > HIGHEST_HZ) continue
      const levelDb = curve.levelsDb[at]! + shiftsDb[index]!
      // A curve that falls out of all hearing must not flatten the others.
      lowDb = Math.max(-mostDb, Math.min(lowDb, Math.floor(levelDb / 5) * 5))
      highDb = Math.min(mostDb, Math.max(highDb, Math.ceil(levelDb / 5) * 5))
    }
  }
  return { lowDb, highDb }
}
