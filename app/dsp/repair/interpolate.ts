// Replaces unknown samples by those with the least prediction error: the samples and the predictor are
// estimated in turn (Janssen, Veldhuis and Vries, "Adaptive interpolation of discrete-time signals that can
// be modeled as autoregressive processes", IEEE TASSP 34(2), 1986).

import { createLinearPredictor } from '../check/linear-prediction.ts'

/** At 48 kHz; a millisecond of context in the predictor at every rate. */
const ORDER_AT_48K = 50
const ROUNDS = 3
/** Most times that samples short of their bound are set to it and the others solved again. */
const BOUND_ROUNDS = 8

/** Order of the predictor at a rate. */
export const interpolationOrder = (sampleRateHz: number): number =>
  Math.max(16, Math.min(100, Math.round((ORDER_AT_48K * sampleRateHz) / 48_000)))

/**
 * Replaces samples in place.
 * @param samples the surroundings; twice `order` samples and more, full scale = 1
 * @param unknown indices in order, each at least `order` from both ends
 * @param bound least magnitude of each unknown sample with its sign, for clipped samples; null for none
 * @returns false where the samples cannot be predicted, such as silence; they are left as they were then
 */
export function interpolate(
  samples: Float64Array,
  unknown: Int32Array,
  order: number,
  bound: Float64Array | null = null,
): boolean {
  const before = samples.slice()
  const predictor = createLinearPredictor(order, samples.length)
  if (bound === null) bridge(samples, unknown)
  for (let round = 0; round < ROUNDS; round++) {
    if (predictor.fit(samples, 0) > 0 && solveWithin(samples, unknown, predictor.coefficients, bound))
      continue
    samples.set(before)
    return false
  }
  return true
}

/** Straight lines across the gaps, for the first fit. */
function bridge(samples: Float64Array, unknown: Int32Array): void {
  for (let i = 0; i < unknown.length; ) {
    let end = i
    while (end + 1 < unknown.length && unknown[end + 1] === unknown[end] + 1) end++
    const from = samples[unknown[i] - 1]
    const to = samples[unknown[end] + 1]
    const steps = end - i + 2
    for (let k = i; k <= end; k++) samples[unknown[k]] = from + ((to - from) * (k - i + 1)) / steps
    i = end + 1
  }
}

function solveWithin(
  samples: Float64Array,
  unknown: Int32Array,
  a: Float64Array,
  bound: Float64Array | null,
): boolean {
  const products = productsOf(a)
  let free = unknown
  if (!solve(samples, free, products)) return false
  if (bound === null) return true
  const boundAt = new Map<number, number>()
  for (let i = 0; i < unknown.length; i++) boundAt.set(unknown[i], bound[i])
  for (let round = 0; round < BOUND_ROUNDS; round++) {
    const short = free.filter((n) => isShort(samples[n], boundAt.get(n)!))
    if (short.length === 0) return true
    for (const n of short) samples[n] = boundAt.get(n)!
    const held = new Set(short)
    free = free.filter((n) => !held.has(n))
    if (free.length > 0 && !solve(samples, free, products)) return false
  }
  for (const n of free) if (isShort(samples[n], boundAt.get(n)!)) samples[n] = boundAt.get(n)!
  return true
}

const isShort = (sample: number, bound: number): boolean => sample * Math.sign(bound) < Math.abs(bound)

/** Sum over i of a[i] a[i + lag], for each lag up to the order. */
function productsOf(a: Float64Array): Float64Array {
  return a.map((_, lag) => {
    let sum = 0
    for (let i = 0; i + lag < a.length; i++) sum += a[i] * a[i + lag]
    return sum
  })
}

/**
 * The normal equations by Cholesky's method. Samples further apart than the order are not coupled, so that
 * the matrix is a band and the work grows with the number of samples.
 */
function solve(samples: Float64Array, unknown: Int32Array, products: Float64Array): boolean {
  const order = products.length - 1
  const count = unknown.length
  for (const n of unknown) samples[n] = 0
  const right = new Float64Array(count)
  for (let i = 0; i < count; i++) {
    let sum = 0
    for (let lag = -order; lag <= order; lag++) sum += products[Math.abs(lag)] * samples[unknown[i] + lag]
    right[i] = -sum
  }
  const width = order + 1
  const band = new Float64Array(count * width)
  const first = new Int32Array(count)
  for (let i = 0, low = 0; i < count; i++) {
    while (unknown[i] - unknown[low] > order) low++
    first[i] = low
    for (let j = low; j <= i; j++) {
      let sum = products[unknown[i] - unknown[j]]
      for (let k = Math.max(low, first[j]); k < j; k++) {
        sum -= band[i * width + i - k] * band[j * width + j - k]
      }
      if (j < i) band[i * width + i - j] = sum / band[j * width]
      else if (sum > 0) band[i * width] = Math.sqrt(sum)
      else return false
    }
  }
  for (let i = 0; i < count; i++) {
    let sum = right[i]
    for (let k = first[i]; k < i; k++) sum -= band[i * width + i - k] * right[k]
    right[i] = sum / band[i * width]
  }
  for (let i = count - 1; i >= 0; i--) {
    const value = right[i] / band[i * width]
    right[i] = value
    for (let k = first[i]; k < i; k++) right[k] -= band[i * width + i - k] * value
  }
  for (let i = 0; i < count; i++) {
    if (!Number.isFinite(right[i])) return false
    samples[unknown[i]] = right[i]
  }
  return true
}
