// Levels of curves: level at a frequency, part within a range, normalising to 0 dB, and range of the axis.

import type { CurvePoints } from '../../../../app/contract/curve.ts'
import { FREQUENCY_AXIS } from '../../../parts/plot/axis.ts'
import { levelScale } from '../../../parts/plot/level-scale.ts'

const levelsOf = (curve: CurvePoints) => levelScale(curve.frequenciesHz, curve.levelsDb)

/** Level of a curve at a frequency; null where the curve has no data. */
export function levelWithin(curve: CurvePoints, frequencyHz: number): number | null {
  const { frequenciesHz } = curve
  if (frequenciesHz.length === 0) return null
  const isInside =
    frequencyHz >= frequenciesHz[0]! * (1 - 1e-9) && frequencyHz <= frequenciesHz.at(-1)! * (1 + 1e-9)
  return isInside ? levelsOf(curve)(frequencyHz) : null
}

/** The points of a curve between two frequencies, for curves that are only valid there. */
export function curveWithin(curve: CurvePoints, fromHz: number, toHz: number): CurvePoints {
  const kept = curve.frequenciesHz.flatMap((frequencyHz, i) =>
    frequencyHz >= fromHz * 0.999 && frequencyHz <= toHz * 1.001 ? [i] : [],
  )
  return {
    frequenciesHz: kept.map((i) => curve.frequenciesHz[i]!),
    levelsDb: kept.map((i) => curve.levelsDb[i]!),
  }
}

/** How curves are shifted to 0 dB, so that their shapes can be compared. */
export type Normalising =
  | { readonly kind: 'off' }
  | { readonly kind: 'at'; readonly frequencyHz: number }
  | { readonly kind: 'over'; readonly fromHz: number; readonly toHz: number }

/** Shift in dB for all levels of a curve. Only the part of a range that has data is averaged. */
export function normalisingShiftDb(curve: CurvePoints, normalising: Normalising): number {
  switch (normalising.kind) {
    case 'off':
      return 0
    case 'at':
      return -levelsOf(curve)(normalising.frequencyHz)
    case 'over': {
      const fromHz = Math.max(normalising.fromHz, curve.frequenciesHz[0]!)
      const toHz = Math.min(normalising.toHz, curve.frequenciesHz.at(-1)!)
      if (toHz <= fromHz) return -levelsOf(curve)(fromHz)
      return -meanLevel(curve, fromHz, toHz)
    }
  }
}

/** Mean level over log frequency, interpolated linearly between the points. */
function meanLevel(curve: CurvePoints, fromHz: number, toHz: number): number {
  const levelAt = levelsOf(curve)
  const inside = curve.frequenciesHz.filter((frequencyHz) => frequencyHz > fromHz && frequencyHz < toHz)
  const grid = [fromHz, ...inside, toHz]
  let area = 0
  for (let i = 1; i < grid.length; i++) {
    const width = Math.log(grid[i]! / grid[i - 1]!)
    area += (width * (levelAt(grid[i]!) + levelAt(grid[i - 1]!))) / 2
  }
  return area / Math.log(toHz / fromHz)
}

/** Level range of all curves in steps of 5 dB: at least `leastDb`, at most `mostDb` either side of 0 dB. */
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
      if (frequencyHz < FREQUENCY_AXIS.from || frequencyHz > FREQUENCY_AXIS.to) continue
      const levelDb = curve.levelsDb[at]! + shiftsDb[index]!
      // A curve with extreme levels must not flatten the others.
      lowDb = Math.max(-mostDb, Math.min(lowDb, Math.floor(levelDb / 5) * 5))
      highDb = Math.min(mostDb, Math.max(highDb, Math.ceil(levelDb / 5) * 5))
    }
  }
  return { lowDb, highDb }
}
