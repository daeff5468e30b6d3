// Doubling and halving the rate one sample after another, as the kernels of app/dsp/wasm compute it.

import type { HalfBand } from '../../../app/dsp/filters/half-band.ts'

/** Samples before the block that `doubleRate` reads. */
export const doublingHistory = (filter: HalfBand): number => 2 * filter.taps.length - 1

/**
 * Writes 2 x `samples` samples at `to`; reads `samples` at `from` and the history before them.
 */
export function doubleRate(
  filter: HalfBand,
  source: Float64Array,
  from: number,
  samples: number,
  destination: Float64Array,
  to: number,
): void {
  const taps = filter.taps
  const count = taps.length
  const span = 2 * count - 1
  for (let n = 0; n < samples; n++) {
    const newest = from + n
    const oldest = newest - span
    let first = 0
    let second = 0
    for (let j = 0; j < count; j += 2) {
      first += taps[j] * (source[newest - j] + source[oldest + j])
      second += taps[j + 1] * (source[newest - j - 1] + source[oldest + j + 1])
    }
    destination[to + 2 * n] = 2 * (first + second)
    destination[to + 2 * n + 1] = source[newest - count + 1]
  }
}

/** Samples before the block that `decimateByTwo` reads. */
export const decimatingHistory = (taps: Float64Array): number => taps.length - 1

/**
 * Halves the rate with any symmetric filter of 4 K + 1 taps. As `halveRate`. Two results
 * at a time share the reading of the taps; each is summed in the same order as one alone.
 */
export function decimateByTwo(
  taps: Float64Array,
  source: Float64Array,
  from: number,
  samples: number,
  destination: Float64Array,
  to: number,
): void {
  const middle = (taps.length - 1) / 2
  const span = taps.length - 1
  const centre = taps[middle]
  let n = 0
  for (; n + 1 < samples; n += 2) {
    let newer = from + 2 * n
    let older = newer - span
    let first = centre * source[newer - middle]
    let next = centre * source[newer - middle + 2]
    let firstOdd = 0
    let nextOdd = 0
    for (let j = 0; j < middle; j += 2) {
      const even = taps[j]
      const odd = taps[j + 1]
      first += even * (source[newer] + source[older])
      next += even * (source[newer + 2] + source[older + 2])
      firstOdd += odd * (source[newer - 1] + source[older + 1])
      nextOdd += odd * (source[newer + 1] + source[older + 3])
      newer -= 2
      older += 2
    }
    destination[to + n] = first + firstOdd
    destination[to + n + 1] = next + nextOdd
  }
  if (n === samples) return
  let newer = from + 2 * n
  let older = newer - span
  let last = centre * source[newer - middle]
  let lastOdd = 0
  for (let j = 0; j < middle; j += 2) {
    last += taps[j] * (source[newer] + source[older])
    lastOdd += taps[j + 1] * (source[newer - 1] + source[older + 1])
    newer -= 2
    older += 2
  }
  destination[to + n] = last + lastOdd
}
