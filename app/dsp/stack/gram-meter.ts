// Measures the Gram matrices of a stack span by span: the spectra of all layers, frame by frame, and their inner
// products in third octaves. Frames of 85 ms with a sine window, half overlapping, so that the windows' squares add
// up to one everywhere.

import { pointsAtRate } from '../maths/points-at-rate.ts'
import { twoSpectraOf } from '../wasm/two-spectra.ts'
import { type BandBins, bandBins } from './band-bins.ts'
import { addGram, emptyGram, type Gram, type StackGram } from './gram.ts'
import { createStackFramer, type FrameSpan, isSilence, type StackLayer, signalsOf } from './stack-layers.ts'

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
  const sounding: number[] = []
  const silence = new Float64Array(points)
  const framer = createStackFramer(n, points, half, spans)
  const products = bands.map(() => new Float64Array(n * n))
  const whole = { sides: emptyGram(layers.length), mono: emptyGram(layers.length) }
  const energies = layers.map(() => new Float64Array(half + 1))
  const sums = new Float64Array(4)
  let current = -1

  function takeFrame(held: readonly Float64Array[], from: number, span: number): void {
    if (span !== current) endSpan()
    current = span
    sounding.length = 0
    for (let c = 0; c < n; c++) if (!isSilence(held[c], from, from + points)) sounding.push(c)
    for (let i = 0; i < sounding.length; i += 2) {
      const isPair = i + 1 < sounding.length
      spectra.measure(held[sounding[i]], from, isPair ? held[sounding[i + 1]] : silence, isPair ? from : 0)
      keepBins(sounding[i], 0)
      if (isPair) keepBins(sounding[i + 1], 1)
    }
    for (let i = 0; i < sounding.length; i++) {
      // Four at once: each of the four sums goes on while the others' additions are under way.
      for (let j = i; j < sounding.length; j += 4) addProducts(sounding[i], j)
    }
  }

  /** Adds the products of a channel with the up to four sounding ones from index `first` on. */
  function addProducts(c: number, first: number): void {
    const last = sounding.length - 1
    const count = Math.min(4, last - first + 1)
    const one = bins[c]
    const a = bins[sounding[first]]
    const b = bins[sounding[Math.min(last, first + 1)]]
    const d = bins[sounding[Math.min(last, first + 2)]]
    const e = bins[sounding[Math.min(last, first + 3)]]
    for (let band = 0; band < bands.length; band++) {
      if (count === 1) sums[0] = inner(one, a, bands[band])
      else innerOfFour(one, a, b, d, e, bands[band], sums)
      const row = products[band]
      for (let j = 0; j < count; j++) row[c * n + sounding[first + j]] += sums[j]
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

/** The same of one spectrum with four others. */
function innerOfFour(
  one: Float64Array,
  a: Float64Array,
  b: Float64Array,
  c: Float64Array,
  d: Float64Array,
  { from, to, edges }: BandBins,
  sums: Float64Array,
): void {
  let [sumA, sumB, sumC, sumD] = [0, 0, 0, 0]
  for (let i = 2 * from; i < 2 * to; i++) {
    const x = one[i]
    sumA += x * a[i]
    sumB += x * b[i]
    sumC += x * c[i]
    sumD += x * d[i]
  }
  for (const { bin, share } of edges) {
    const x = one[2 * bin]
    const y = one[2 * bin + 1]
    sumA += share * (x * a[2 * bin] + y * a[2 * bin + 1])
    sumB += share * (x * b[2 * bin] + y * b[2 * bin + 1])
    sumC += share * (x * c[2 * bin] + y * c[2 * bin + 1])
    sumD += share * (x * d[2 * bin] + y * d[2 * bin + 1])
  }
  sums[0] = sumA
  sums[1] = sumB
  sums[2] = sumC
  sums[3] = sumD
}
