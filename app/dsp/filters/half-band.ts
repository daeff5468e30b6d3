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
  // The centre is exactly one half; the others are scaled to sum to one half too, so that
  // both phases have the same gain at DC and no tone appears at half the rate.
  const sum = 2 * taps.reduce((total, tap) => total + tap, 0)
  return { taps: taps.map((tap) => (tap * 0.5) / sum), delaySamples: 2 * count - 1 }
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
    let newer = from + 2 * n
    let older = newer - span
    let first = 0.5 * source[newer - 2 * count + 1]
    let second = 0
    for (let j = 0; j < count; j += 2) {
      first += taps[j] * (source[newer] + source[older])
      second += taps[j + 1] * (source[newer - 2] + source[older + 2])
      newer -= 4
      older += 4
    }
    destination[to + n] = first + second
  }
}
