// Power spectrum of one frame with a Hann window. A running sum over the bins gives the power of any band as
// a difference of two values. A bin covers the band of one bin's width around its frequency and is split
// proportionally at band edges.

import { twoSpectraOf } from '../../wasm/two-spectra.ts'

/** Measures one frame at a time; `powers` holds the spectrum of the last one. */
export interface FrameSpectrum {
  readonly points: number
  readonly binHz: number
  /**
   * Mean square in bins 0 to points / 2 of the last frame. Their sum is the mean square of the windowed frame
   * divided by that of the window, 3/8, and so estimates the mean square of the signal.
   */
  readonly powers: Float64Array
  /** @param frame `points` samples, not modified */
  measure(frame: Float64Array): void
  /** Mean square between two frequencies of the last frame; 0 above half the sample rate. */
  bandPower(fromHz: number, toHz: number): number
}

/** @param points a power of two, 4 or more */
export function createFrameSpectrum(points: number, sampleRateHz: number): FrameSpectrum {
  const spectra = twoSpectraOf(points, 'hann')
  const { squares } = spectra
  const half = points / 2
  const silence = new Float64Array(points)
  const powers = new Float64Array(half + 1)
  const sums = new Float64Array(half + 2)
  const binHz = sampleRateHz / points
  // The mean square of the Hann window is 3/8; the factor 2 accounts for the negative frequencies.
  const scale = 2 / (points * points * 0.375)

  return {
    points,
    binHz,
    powers,
    measure(frame) {
      spectra.measure(frame, 0, silence, 0)
      let sum = 0
      for (let k = 0; k <= half; k++) {
        const power = squares[2 * k] * (k === 0 || k === half ? scale / 2 : scale)
        powers[k] = power
        sums[k] = sum
        sum += power
      }
      sums[half + 1] = sum
    },
    bandPower: (fromHz, toHz) => sumBelow(sums, toHz / binHz) - sumBelow(sums, fromHz / binHz),
  }
}

/**
 * Sum of the values below a fractional bin index, where value k is spread evenly from k - 1/2 to k + 1/2.
 * @param sums sums[k] is the sum of the values before value k; one more entry than there are values
 */
export function sumBelow(sums: Float64Array, place: number): number {
  const shifted = place + 0.5
  if (shifted <= 0) return 0
  const bin = Math.floor(shifted)
  if (bin >= sums.length - 1) return sums[sums.length - 1]
  return sums[bin] + (shifted - bin) * (sums[bin + 1] - sums[bin])
}
