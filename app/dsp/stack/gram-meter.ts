// Measures the Gram matrices of a stack span by span: the spectra of all layers, frame by frame, and their inner
// products in third octaves. Frames of 85 ms with a sine window, half overlapping, so that the windows' squares add
// up to one everywhere.

import { pointsAtRate } from '../maths/points-at-rate.ts'
import { twoSpectraOf } from '../wasm/two-spectra.ts'
import { type BandBins, bandBins } from './band-bins.ts'
import { addGram, emptyGram, type Gram, type StackGram } from './gram.ts'
import { createStackFramer, type FrameSpan, type StackLayer, signalsOf } from './stack-layers.ts'

const POINTS_AT_48K = 4096

/** What was measured over all spans. */
export interface MeasuredGram extends StackGram {
  /** Energy of each layer per bin over both sides, for questions about filters. */
  readonly spectra: readonly Float64Array[]
  readonly binHz: number
}

interface GramMeter {
  /** @param blocks one for each channel, as in signalsOf; finite values only */
  add(blocks: readonly Float64Array[], frames: number): void
  finish(): MeasuredGram
}

/**
 * @param spans in order, not overlapping: what lies outside of them is not measured
 * @param onSpan called with the matrices of each span that has frames, in order; they are used again afterwards
 */
export function createGramMeter(
  sampleRateHz: number,
  layers: readonly StackLayer[],
  spans: readonly FrameSpan[],
  onSpan: (span: number, gram: StackGram) => void,
): GramMeter {
  const points = pointsAtRate(POINTS_AT_48K, sampleRateHz)
  const half = points / 2
  const spectra = twoSpectraOf(points, 'sine')
  const { re, im } = spectra
  const binHz = sampleRateHz / points
  const bands = bandBins(binHz)
  const signals = signalsOf(layers)
  const n = signals.length
  /** Real and imaginary parts of each channel's bins, in turn. */
  const bins = signals.map(() => new Float64Array(2 * (half + 1)))
  const isSilent = new Uint8Array(n)
  const silence = new Float64Array(points)
  const framer = createStackFramer(n, points, half, spans)
  const products = bands.map(() => new Float64Array(n * n))
  const whole = { sides: emptyGram(layers.length), mono: emptyGram(layers.length) }
  const energies = layers.map(() => new Float64Array(half + 1))
  let current = -1

  function takeFrame(held: readonly Float64Array[], span: number): void {
    if (span !== current) endSpan()
    current = span
    for (let c = 0; c < n; c++) isSilent[c] = held[c].some((x) => x !== 0) ? 0 : 1
    for (let c = 0; c < n; c += 2) {
      if (isSilent[c] === 1 && (c + 1 === n || isSilent[c + 1] === 1)) continue
      spectra.measure(held[c], 0, c + 1 < n ? held[c + 1] : silence, 0)
      for (let side = 0; side < 2 && c + side < n; side++) keepBins(c + side, side)
    }
    for (let c = 0; c < n; c++) {
      if (isSilent[c] === 1) continue
      for (let d = c; d < n; d++) {
        if (isSilent[d] === 1) continue
        for (let b = 0; b < bands.length; b++) products[b][c * n + d] += inner(bins[c], bins[d], bands[b])
      }
    }
  }

  function keepBins(signal: number, side: number): void {
    const into = bins[signal]
    const { layer, left, right } = signals[signal]
    const energy = energies[layer]
    const weight = left * left + right * right
    for (let k = 0; k <= half; k++) {
      const x = re[2 * k + side]
      const y = im[2 * k + side]
      into[2 * k] = x
      into[2 * k + 1] = y
      energy[k] += weight * (x * x + y * y)
    }
  }

  function endSpan(): void {
    if (current < 0) return
    const gram = gramOfLayers()
    onSpan(current, gram)
    addGram(gram.sides, whole.sides)
    addGram(gram.mono, whole.mono)
    for (const row of products) row.fill(0)
  }

  /** From the products of channels to those of layers, with their pan. */
  function gramOfLayers(): StackGram {
    const sides = emptyGram(layers.length)
    const mono = emptyGram(layers.length)
    for (let b = 0; b < bands.length; b++) {
      for (let c = 0; c < n; c++) {
        for (let d = c; d < n; d++) {
          const product = products[b][c * n + d]
          const one = signals[c]
          const other = signals[d]
          const both = product * (one.left * other.left + one.right * other.right)
          const sum = (product * (one.left + one.right) * (other.left + other.right)) / 2
          addProduct(sides, b, one.layer, other.layer, both, c === d)
          addProduct(mono, b, one.layer, other.layer, sum, c === d)
        }
      }
    }
    return { sides, mono }
  }

  return {
    add(blocks, frames) {
      framer.add(blocks, frames, takeFrame)
    },
    finish() {
      endSpan()
      current = -1
      return { ...whole, spectra: energies, binHz }
    },
  }
}

/** Adds the product of two channels at both places of the symmetric matrix. */
function addProduct(gram: Gram, band: number, k: number, l: number, product: number, isSame: boolean): void {
  const row = gram.products[band]
  row[k * gram.layers + l] += product
  if (!isSame) row[l * gram.layers + k] += product
}

/** Real part of the inner product of two spectra in a band. */
function inner(one: Float64Array, other: Float64Array, { from, to, edges }: BandBins): number {
  let sum = 0
  for (let i = 2 * from; i < 2 * to; i++) sum += one[i] * other[i]
  for (const { bin, share } of edges) {
    sum += share * (one[2 * bin] * other[2 * bin] + one[2 * bin + 1] * other[2 * bin + 1])
  }
  return sum
}
