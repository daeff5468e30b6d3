// Doubling and halving the rate with linear-phase half-band filters: every second tap
// is zero and the others mirror each other, so a filter of 4 K - 1 taps costs K
// products per pair of samples. Sums run in one fixed order, whatever the blocks.

import { kaiserLowPass, kaiserTaps } from './kaiser-low-pass.ts'

/** A half-band filter of unit gain at DC: its K different taps beside the centre, outermost first; K is even. */
export interface HalfBand {
  readonly taps: Float64Array
  /** Delay in samples of the higher rate, 2 K - 1. */
  readonly delaySamples: number
}

/**
 * @param passBand upper edge of the pass band in cycles per sample of the higher rate, under 0.25;
 * the stop band begins at 0.5 minus it
 */
export function designHalfBand(passBand: number, stopBandDb: number): HalfBand {
  const count = 2 * Math.ceil((kaiserTaps(stopBandDb, 0.5 - 2 * passBand) + 1) / 8)
  const all = kaiserLowPass(4 * count - 1, 0.25, stopBandDb)
  const taps = Float64Array.from({ length: count }, (_, j) => all[2 * j])
  // The centre is exactly one half; the others are brought to one half too, so that
  // both phases have the same gain at DC and no tone appears at half the rate.
  const sum = 2 * taps.reduce((total, tap) => total + tap, 0)
  return { taps: taps.map((tap) => (tap * 0.5) / sum), delaySamples: 2 * count - 1 }
}

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

/** Samples before the block that `halveRate` reads. */
export const halvingHistory = (filter: HalfBand): number => 4 * filter.taps.length - 2

/**
 * Writes `samples` samples at `to`; reads twice as many at `from` and the history before them.
 */
export function halveRate(
  filter: HalfBand,
  source: Float64Array,
  from: number,
  samples: number,
  destination: Float64Array,
  to: number,
): void {
  const taps = filter.taps
  const count = taps.length
  const span = 4 * count - 2
  for (let n = 0; n < samples; n++) {
    const newest = from + 2 * n
    const oldest = newest - span
    let first = 0.5 * source[newest - 2 * count + 1]
    let second = 0
    for (let j = 0; j < count; j += 2) {
      const apart = 2 * j
      first += taps[j] * (source[newest - apart] + source[oldest + apart])
      second += taps[j + 1] * (source[newest - apart - 2] + source[oldest + apart + 2])
    }
    destination[to + n] = first + second
  }
}

/** Samples before the block that `decimateByTwo` reads. */
export const decimatingHistory = (taps: Float64Array): number => taps.length - 1

/**
 * Halves the rate with any symmetric filter of 8 K + 1 taps. As `halveRate`.
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
  for (let n = 0; n < samples; n++) {
    const newest = from + 2 * n
    const oldest = newest - span
    let first = 0
    let second = 0
    let third = 0
    let fourth = 0
    for (let j = 0; j < middle; j += 4) {
      first += taps[j] * (source[newest - j] + source[oldest + j])
      second += taps[j + 1] * (source[newest - j - 1] + source[oldest + j + 1])
      third += taps[j + 2] * (source[newest - j - 2] + source[oldest + j + 2])
      fourth += taps[j + 3] * (source[newest - j - 3] + source[oldest + j + 3])
    }
    destination[to + n] = first + second + (third + fourth) + taps[middle] * source[newest - middle]
  }
}
