// The polyphase interpolator of the true-peak meter (BS.1770-5 Annex 2: any filter
// of equal or better quality than the printed one), and bounds on how far its points
// can exceed the samples.

import { kaiserLowPass } from '../filters/kaiser-low-pass.ts'

/** Half the taps of a phase: with groups of this size an interval needs its own group and the two beside it. */
export const GROUP_FRAMES = 24
const TAPS = 2 * GROUP_FRAMES
// Kaiser window for 80 dB: flat within 0.002 dB to 0.447 of the rate (21.4 kHz at 48 kHz).
const STOP_BAND_DB = 80

/** Computes points between samples, and bounds on them. */
export interface Interpolator {
  /** Taps of the points between two samples, one point after the other, 2 GROUP_FRAMES each. */
  readonly taps: Float64Array
  /** |interpolated| <= peakFactor x greatest magnitude under the taps. */
  readonly peakFactor: number
  /**
   * |interpolated| <= nearFactor x greater magnitude of the two samples around it
   * + bendFactor x greatest second difference under the taps.
   */
  readonly nearFactor: number
  readonly bendFactor: number
  /** Greatest magnitude at sample n and at the points between n and n + 1; needs 23 samples before n, 24 after. */
  intervalPeak(samples: Float64Array, n: number): number
}

/** @param factor points per sample, 2 or more */
export function createInterpolator(factor: number): Interpolator {
  const lowPass = kaiserLowPass(TAPS * factor - 1, 0.5 / factor, STOP_BAND_DB)
  const phases = Array.from({ length: factor - 1 }, (_, i) => phaseTaps(lowPass, i + 1, factor))
  const taps = Float64Array.from(phases.flat())
  const total = taps.length
  // Room for rounding: a bound that is too tight by one bit could hide a peak.
  const margin = 1 + 1e-12

  return {
    taps,
    peakFactor: Math.max(1, ...phases.map((phase) => absoluteSum(phase))) * margin,
    nearFactor:
      (1 + 2 * Math.max(...phases.map((phase, i) => reach(phase, (i + 1) / factor).slope))) * margin,
    bendFactor: Math.max(...phases.map((phase, i) => reach(phase, (i + 1) / factor).bend)) * margin,
    intervalPeak(samples, n) {
      const first = n - GROUP_FRAMES + 1
      let peak = Math.abs(samples[n])
      for (let at = 0; at < total; at += TAPS) {
        // Four independent sums, so that additions do not wait for each other.
        let a = 0
        let b = 0
        let c = 0
        let d = 0
        for (let k = 0; k < TAPS; k += 4) {
          a += taps[at + k] * samples[first + k]
          b += taps[at + k + 1] * samples[first + k + 1]
          c += taps[at + k + 2] * samples[first + k + 2]
          d += taps[at + k + 3] * samples[first + k + 3]
        }
        const magnitude = Math.abs(a + b + (c + d))
        if (magnitude > peak) peak = magnitude
      }
      return peak
    },
  }
}

/** Taps for the point `phase / factor` after sample n; tap k reads sample n - 23 + k; they sum to 1. */
function phaseTaps(lowPass: Float64Array, phase: number, factor: number): number[] {
  const middle = (lowPass.length - 1) / 2
  const taps = Array.from(
    { length: TAPS },
    (_, k) => lowPass[middle + (k - GROUP_FRAMES + 1) * factor - phase],
  )
  const sum = taps.reduce((total, tap) => total + tap, 0)
  return taps.map((tap) => tap / sum)
}

/**
 * What a phase adds to the straight line between its two samples. The taps of that
 * difference sum to zero, so it is a slope (nearly none) plus a filter on second differences.
 */
function reach(phase: readonly number[], fraction: number): { slope: number; bend: number } {
  const rest = [...phase]
  rest[GROUP_FRAMES - 1] -= 1 - fraction
  rest[GROUP_FRAMES] -= fraction
  const slope = rest.reduce((sum, tap, k) => sum + k * tap, 0)
  rest[GROUP_FRAMES - 1] += slope
  rest[GROUP_FRAMES] -= slope
  let once = 0
  let twice = 0
  let bend = 0
  for (const tap of rest) {
    once += tap
    twice += once
    bend += Math.abs(twice)
  }
  return { slope: Math.abs(slope), bend }
}

function absoluteSum(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + Math.abs(value), 0)
}
