// Gram matrices of a stack: the inner products of its layers in each third octave. Energies of any sum of the
// layers, with any gains, are quadratic forms of them, and the shares of the layers are sums of their rows.

import { THIRD_OCTAVES } from '../analysis/spectra/third-octaves.ts'

/** Of `layers` layers; products[band][k * layers + l], symmetric. */
export interface Gram {
  readonly layers: number
  readonly products: readonly Float64Array[]
}

/** Inner products of one stack: over both sides together, and of (left + right) / sqrt 2. */
export interface StackGram {
  readonly sides: Gram
  readonly mono: Gram
}

/** A Gram matrix of zeros. */
export const emptyGram = (layers: number): Gram => ({
  layers,
  products: THIRD_OCTAVES.map(() => new Float64Array(layers * layers)),
})

/** Adds `from` to `to`. */
export function addGram(from: Gram, to: Gram): void {
  for (let b = 0; b < to.products.length; b++) {
    for (let i = 0; i < to.products[b].length; i++) to.products[b][i] += from.products[b][i]
  }
}

/** Energy of the sum of all layers in a band, each with its gain; 1 for all if none are given. */
export function energyOf({ layers, products }: Gram, band: number, gains?: ArrayLike<number>): number {
  const row = products[band]
  let sum = 0
  for (let k = 0; k < layers; k++) {
    const gain = gains === undefined ? 1 : gains[k]
    if (gain === 0) continue
    let inner = 0
    for (let l = 0; l < layers; l++) inner += row[k * layers + l] * (gains === undefined ? 1 : gains[l])
    sum += gain * inner
  }
  return sum
}

/**
 * Share of each layer in the energy of their sum s: <x_k, s> / <s, s>. They add up to 1; a layer that cancels has
 * a negative one. It is the Shapley value of the energy: cross terms are divided into halves.
 * @returns null where the sum is silent
 * @source Colini-Baldeschi, Scarsini, Vaccari, "Variance allocation and Shapley value", arXiv 1606.09424
 */
export function powerShares(gram: Gram, band: number): Float64Array | null {
  const { layers, products } = gram
  const row = products[band]
  const shares = new Float64Array(layers)
  let whole = 0
  let parts = 0
  for (let k = 0; k < layers; k++) {
    for (let l = 0; l < layers; l++) shares[k] += row[k * layers + l]
    whole += shares[k]
    parts += row[k * layers + k]
  }
  // Below this, what is left of a cancelled sum is rounding.
  if (!(whole > parts * CANCELLED)) return null
  for (let k = 0; k < layers; k++) shares[k] /= whole
  return shares
}

/** Energies are at least this share of those of their parts, -150 dB, where layers cancel completely. */
export const CANCELLED = 1e-15
