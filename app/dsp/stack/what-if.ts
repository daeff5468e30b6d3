// What a change of one layer would do to the stack, predicted on its Gram matrices: exact for gains and mutes, and for
// a bell as exact as one response for each band allows in the cross terms.

import { designBand } from '../filters/matched.ts'
import type { SvfCoefficients } from '../filters/svf.ts'
import { dbFromPower } from '../maths/decibels.ts'
import type { Band } from '../stages/settings.ts'
import { type BandBins, bandBins } from './band-bins.ts'
import { CANCELLED, energyOf, type Gram } from './gram.ts'
import type { MeasuredGram } from './gram-meter.ts'

/** dB of the stack in a band with a gain for each layer, against the stack as it is; null where that is silent. */
export function gainsChangeDb(gram: Gram, band: number, gains: ArrayLike<number>): number | null {
  const before = energyOf(gram, band)
  if (!(before > 0)) return null
  return dbFromPower(Math.max(energyOf(gram, band, gains) / before, CANCELLED))
}

/** The matrices of both sides with a bell or shelf on one layer, as the tone stage runs it. */
export function withBand(
  { sides, spectra, binHz }: Pick<MeasuredGram, 'sides' | 'spectra' | 'binHz'>,
  layer: number,
  band: Band,
): Gram {
  const { layers } = sides
  const energies = spectra[layer]
  const section = designBand(band, 2 * (energies.length - 1) * binHz)
  const sampleRateHz = 2 * (energies.length - 1) * binHz
  const products = bandBins(binHz).map((bins, b) => {
    const row = sides.products[b].slice()
    const { power, real } = meanResponse(section, energies, bins, binHz, sampleRateHz)
    for (let l = 0; l < layers; l++) {
      const factor = l === layer ? power : real
      row[layer * layers + l] *= factor
      if (l !== layer) row[l * layers + layer] *= factor
    }
    return row
  })
  return { layers, products }
}

/** Mean squared magnitude and mean real part of a response over a band, by the energy of the layer in each bin. */
function meanResponse(
  section: SvfCoefficients,
  energies: Float64Array,
  { from, to, edges }: BandBins,
  binHz: number,
  sampleRateHz: number,
): { readonly power: number; readonly real: number } {
  const { g, k, m0, m1, m2 } = section
  let [sum, power, real] = [0, 0, 0]
  const add = (bin: number, share: number): void => {
    const t = Math.tan((Math.PI * Math.min(bin * binHz, 0.4999 * sampleRateHz)) / sampleRateHz) / g
    const realBelow = 1 - t * t
    const imaginaryBelow = k * t
    const below = realBelow * realBelow + imaginaryBelow * imaginaryBelow
    const realAbove = m0 * (1 - t * t) + m2
    const imaginaryAbove = (m0 * k + m1) * t
    const weight = share * energies[bin]
    sum += weight
    power += (weight * (realAbove * realAbove + imaginaryAbove * imaginaryAbove)) / below
    real += (weight * (realAbove * realBelow + imaginaryAbove * imaginaryBelow)) / below
  }
  for (let bin = from; bin < to; bin++) add(bin, 1)
  for (const { bin, share } of edges) if (bin < energies.length) add(bin, share)
  return sum > 0 ? { power: power / sum, real: real / sum } : { power: 1, real: 1 }
}
