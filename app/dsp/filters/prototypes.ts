// The analogue prototypes that bands and cuts have to follow, as magnitudes.
// Source: W3C Working Group Note "Audio EQ Cookbook", 8 June 2021, the H(s) printed
// there at s = j f / f0; Butterworth high-pass as the product of its second-order
// sections, each the cookbook's high-pass.

import type { Band, LowCutSettings } from '../stages/settings.ts'

const DB_PER_NEPER_OF_POWER = 10 / Math.LN10

/** Squared magnitude ratio in dB. */
function dbOfPowerRatio(above: number, below: number): number {
  return Math.log(above / below) * DB_PER_NEPER_OF_POWER
}

/** The cookbook's A: the square root of the band's gain. */
export function cookbookA(gainDb: number): number {
  return Math.exp((gainDb * Math.LN10) / 40)
}

/** Level of a band's analogue prototype in dB. */
export function analogueBandDb(band: Band, frequencyHz: number): number {
  const a = cookbookA(band.gainDb)
  const u = frequencyHz / band.frequencyHz
  const square = u * u
  const skirt = square / (band.q * band.q)
  switch (band.shape) {
    case 'bell': {
      const base = (1 - square) * (1 - square)
      return dbOfPowerRatio(base + skirt * a * a, base + skirt / (a * a))
    }
    case 'low-shelf':
      return dbOfPowerRatio(
        a * a * ((a - square) * (a - square) + skirt * a),
        (1 - a * square) * (1 - a * square) + skirt * a,
      )
    case 'high-shelf':
      return dbOfPowerRatio(
        a * a * ((1 - a * square) * (1 - a * square) + skirt * a),
        (a - square) * (a - square) + skirt * a,
      )
  }
}

/** Level of one second-order high-pass prototype in dB. */
export function analogueHighPassDb(cornerHz: number, q: number, frequencyHz: number): number {
  const u = frequencyHz / cornerHz
  const square = u * u
  return dbOfPowerRatio(square * square, (1 - square) * (1 - square) + square / (q * q))
}

/** Q of each section of a Butterworth high-pass: 1 / (2 cos) of its pole angles. */
export function butterworthQs(slopeDbPerOctave: LowCutSettings['slopeDbPerOctave']): readonly number[] {
  if (slopeDbPerOctave === 12) return [Math.SQRT1_2]
  return [1 / (2 * Math.cos(Math.PI / 8)), 1 / (2 * Math.cos((3 * Math.PI) / 8))]
}
