// The level of a band's analogue prototype and its partial derivatives by the band's
// three parameters, for fits. Source: the prototypes of the W3C Audio EQ Cookbook
// (8 June 2021), differentiated by hand.

import { cookbookA } from '../filters/prototypes.ts'
import type { Band } from '../stages/settings.ts'

const DB_PER_NEPER_OF_POWER = 10 / Math.LN10
/** Change of ln A per dB of gain. */
const LOG_A_PER_DB = Math.LN10 / 40

/**
 * Adds a band's level to `levelsDb` and writes its slopes by ln f, gain in dB and ln Q
 * to slopes[stride * i + column], + 1 and + 2.
 */
export function addBandLevels(
  shape: Band['shape'],
  logFrequency: number,
  gainDb: number,
  logQ: number,
  logFrequencies: Float64Array,
  levelsDb: Float64Array,
  slopes: Float64Array,
  stride: number,
  column: number,
): void {
  const a = cookbookA(gainDb)
  const skirtOfSquare = Math.exp(-2 * logQ)
  // The level of a high shelf is its gain minus the level of the low shelf with the same parameters.
  const sign = shape === 'high-shelf' ? -1 : 1
  const wholeDb = shape === 'high-shelf' ? gainDb : 0
  const wholeSlope = shape === 'high-shelf' ? 1 : 0
  for (let i = 0; i < logFrequencies.length; i++) {
    const x = Math.exp(2 * (logFrequencies[i] - logFrequency))
    const at = stride * i + column
    if (shape === 'bell') {
      const gap = 1 - x
      const skirt = skirtOfSquare * x
      const skirtAbove = skirt * a * a
      const skirtBelow = skirt / (a * a)
      const above = gap * gap + skirtAbove
      const below = gap * gap + skirtBelow
      const moved = 4 * x * gap
      levelsDb[i] += DB_PER_NEPER_OF_POWER * Math.log(above / below)
      slopes[at] =
        DB_PER_NEPER_OF_POWER * ((moved - 2 * skirtAbove) / above - (moved - 2 * skirtBelow) / below)
      slopes[at + 1] = DB_PER_NEPER_OF_POWER * 2 * LOG_A_PER_DB * (skirtAbove / above + skirtBelow / below)
      slopes[at + 2] = DB_PER_NEPER_OF_POWER * 2 * (skirtBelow / below - skirtAbove / above)
      continue
    }
    const skirt = skirtOfSquare * x * a
    const gapAbove = a - x
    const gapBelow = 1 - a * x
    const above = gapAbove * gapAbove + skirt
    const below = gapBelow * gapBelow + skirt
    const levelDb = gainDb / 2 + DB_PER_NEPER_OF_POWER * Math.log(above / below)
    const byFrequency =
      DB_PER_NEPER_OF_POWER *
      ((4 * x * gapAbove - 2 * skirt) / above - (4 * a * x * gapBelow - 2 * skirt) / below)
    const byGain =
      0.5 +
      DB_PER_NEPER_OF_POWER *
        LOG_A_PER_DB *
        ((2 * gapAbove * a + skirt) / above - (skirt - 2 * gapBelow * a * x) / below)
    const byQ = DB_PER_NEPER_OF_POWER * 2 * skirt * (1 / below - 1 / above)
    levelsDb[i] += wholeDb + sign * levelDb
    slopes[at] = sign * byFrequency
    slopes[at + 1] = wholeSlope + sign * byGain
    slopes[at + 2] = sign * byQ
  }
}
