// Finds the periods of one frame by the YIN method: the cumulative mean normalised difference and
// its dips. Returns several dips, so that the choice can consider the neighbouring frames.
// Source: de Cheveigné and Kawahara, "YIN, a fundamental frequency estimator for speech
// and music", JASA 111(4), 2002 (formulas from memory; measured in tests). The differences
// are computed from the autocorrelation, and that by FFT.

import { createRealFft } from '../../maths/fft.ts'

const LOWEST_PITCH_HZ = 65
const HIGHEST_PITCH_HZ = 1100
/** The most dips kept per frame. */
export const MAX_DIPS = 5
/** Dips that do not go below this normalised difference are not periods. */
const SHALLOWEST_DIP = 0.6
/** Cost of a dip per octave below the highest pitch, because multiples of a period are periods too (our choice). */
const COST_PER_OCTAVE = 0.03

/** Candidate periods of one frame, `count` of them. */
export interface Dips {
  count: number
  /** In samples, with fractions. */
  readonly periods: Float64Array
  /** Normalised difference at the dip (0 for a perfect period, about 1 for noise), plus COST_PER_OCTAVE. */
  readonly costs: Float64Array
}

interface Yin {
  /** Samples that `measure` reads. */
  readonly frameSamples: number
  /** Samples that are compared with those a period later. */
  readonly windowSamples: number
  /** Writes the dips of a frame to `dips`; the cheapest MAX_DIPS if there are more. */
  measure(frame: Float64Array, dips: Dips): void
}

/** Room for MAX_DIPS candidates, reused from frame to frame. */
export function createDips(): Dips {
  return { count: 0, periods: new Float64Array(MAX_DIPS), costs: new Float64Array(MAX_DIPS) }
}

/** @param windowSeconds length of the window that is compared with the samples one period later */
export function createYin(rateHz: number, windowSeconds: number): Yin {
  const windowSamples = Math.round(windowSeconds * rateHz)
  const shortest = Math.floor(rateHz / HIGHEST_PITCH_HZ)
  const longest = Math.ceil(rateHz / LOWEST_PITCH_HZ)
  const frameSamples = windowSamples + longest + 2
  const size = 2 ** Math.ceil(Math.log2(frameSamples))
  const half = size / 2
  const fft = createRealFft(size)
  const whole = new Float64Array(size)
  const start = new Float64Array(size)
  const wholeRe = new Float64Array(half + 1)
  const wholeIm = new Float64Array(half + 1)
  const re = new Float64Array(half + 1)
  const im = new Float64Array(half + 1)
  const difference = new Float64Array(longest + 2)
  const normalised = new Float64Array(longest + 2)

  /** difference[lag] = sum over the window of (x[n] - x[n + lag])^2 */
  function fillDifferences(frame: Float64Array): void {
    let energy = 0
    for (let n = 0; n < frameSamples; n++) whole[n] = frame[n]
    for (let n = 0; n < windowSamples; n++) {
      start[n] = frame[n]
      energy += frame[n] * frame[n]
    }
    fft.transform(whole, wholeRe, wholeIm)
    fft.transform(start, re, im)
    // Inverts the product with the forward transform, in Hartley form: re + im over all bins.
    whole[0] = wholeRe[0] * re[0]
    whole[half] = wholeRe[half] * re[half]
    for (let k = 1; k < half; k++) {
      const real = wholeRe[k] * re[k] + wholeIm[k] * im[k]
      const imaginary = wholeIm[k] * re[k] - wholeRe[k] * im[k]
      whole[k] = real + imaginary
      whole[size - k] = real - imaginary
    }
    fft.transform(whole, re, im)
    whole.fill(0, frameSamples)
    const own = energy
    let later = energy
    for (let lag = 0; lag < difference.length; lag++) {
      const product = (lag <= half ? re[lag] + im[lag] : re[size - lag] - im[size - lag]) / size
      const squares = own + later - 2 * product
      difference[lag] = Math.max(0, squares)
      later += frame[lag + windowSamples] * frame[lag + windowSamples] - frame[lag] * frame[lag]
    }
  }

  function keep(dips: Dips, period: number, depth: number): void {
    const cost = depth + COST_PER_OCTAVE * Math.log2(period / shortest)
    let at = dips.count
    if (at === MAX_DIPS) {
      at = 0
      for (let i = 1; i < MAX_DIPS; i++) if (dips.costs[i] > dips.costs[at]) at = i
      if (dips.costs[at] <= cost) return
    } else dips.count++
    dips.periods[at] = period
    dips.costs[at] = cost
  }

  return {
    frameSamples,
    windowSamples,
    measure(frame, dips) {
      dips.count = 0
      fillDifferences(frame)
      let sum = 0
      normalised[0] = 1
      for (let lag = 1; lag < difference.length; lag++) {
        sum += difference[lag]
        normalised[lag] = sum > 0 ? (difference[lag] * lag) / sum : 1
      }
      for (let lag = Math.max(2, shortest); lag <= longest; lag++) {
        const depth = normalised[lag]
        if (depth > SHALLOWEST_DIP || depth > normalised[lag - 1] || depth >= normalised[lag + 1]) continue
        // The period is interpolated on the plain difference, which is not tilted by the normalisation.
        const shift = vertexOf(difference[lag - 1], difference[lag], difference[lag + 1])
        const lift = vertexOf(normalised[lag - 1], depth, normalised[lag + 1])
        keep(dips, lag + shift, Math.max(0, depth - ((normalised[lag - 1] - normalised[lag + 1]) * lift) / 4))
      }
    },
  }
}

/** Position of the minimum of a parabola through points at -1, 0 and 1, clamped to +-1. */
function vertexOf(before: number, at: number, after: number): number {
  const bend = before - 2 * at + after
  if (bend <= 0) return 0
  const shift = (before - after) / (2 * bend)
  return Math.min(1, Math.max(-1, shift))
}
