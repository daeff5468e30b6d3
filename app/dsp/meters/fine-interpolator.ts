// Interpolates points between samples, sixteen per sample and accurate over nearly the whole
// band of a recording, with a bound on what they can reach. It takes two steps: one long
// half-band filter gives the point in the middle, flat to 0.4965 of the rate (23.8 kHz at
// 48 kHz); short filters give the rest from samples and middles.
// Source: interpolation after BS.1770-5 Annex 2; at 16 times a tone under-reads by
// 0.042 dB at most (Attachment 1).

import { kaiserLowPass } from '../filters/kaiser-low-pass.ts'

const STOP_BAND_DB = 90
/** Taps on each side of a middle. */
const HALF_TAPS = 384
/** Taps of the short filters on each side, on the doubled grid. */
const SHORT_HALF_TAPS = 8
const SHORT_TAPS = 2 * SHORT_HALF_TAPS
/** Steps from one point of the doubled grid to the next. */
const SHORT_FACTOR = 8

/** Samples judged together; `bound` applies to the intervals of one group. */
export const GROUP_FRAMES = 32
/** Whole groups on either side of a group that its points depend on. */
export const GROUPS_AROUND = Math.ceil((HALF_TAPS + SHORT_HALF_TAPS / 2 + 1) / GROUP_FRAMES)

interface FineInterpolator {
  /** Greatest magnitude of the points from sample n up to n + 1, sample n included. */
  intervalPeak(samples: Float64Array, middles: Float64Array, n: number): number
  /**
   * How far the points of any interval of `group` can exceed the greater of its two samples.
   * @param bends greatest second difference around the samples of each group
   */
  bound(bends: Float64Array, group: number): number
}

/**
 * Both functions read GROUPS_AROUND groups on either side. `middles` caches the points
 * between samples n and n + 1 that have been computed before, NaN for the others.
 */
export function createFineInterpolator(): FineInterpolator {
  const middleTaps = designMiddle()
  const shortTaps = designShort()
  const reaches = reachByGroup(middleTaps, shortTaps)
  const grid = new Float64Array(SHORT_TAPS + 1)

  function middle(samples: Float64Array, middles: Float64Array, n: number): number {
    if (Number.isNaN(middles[n])) {
      let first = 0
      let second = 0
      for (let k = 0; k < HALF_TAPS; k += 2) {
        first += middleTaps[k] * (samples[n - k] + samples[n + 1 + k])
        second += middleTaps[k + 1] * (samples[n - k - 1] + samples[n + 2 + k])
      }
      middles[n] = first + second
    }
    return middles[n]
  }

  return {
    intervalPeak(samples, middles, n) {
      // Points 2 n - 7 to 2 n + 9 of the doubled grid; the odd ones are middles.
      const from = n - SHORT_HALF_TAPS / 2
      for (let i = 0; i <= SHORT_TAPS; i++) {
        grid[i] = i % 2 === 0 ? middle(samples, middles, from + i / 2) : samples[from + (i + 1) / 2]
      }
      let peak = Math.max(Math.abs(samples[n]), Math.abs(grid[SHORT_HALF_TAPS]))
      for (let half = 0; half < 2; half++) {
        for (let at = 0; at < shortTaps.length; at += SHORT_TAPS) {
          let sum = 0
          for (let k = 0; k < SHORT_TAPS; k++) sum += shortTaps[at + k] * grid[half + k]
          peak = Math.max(peak, Math.abs(sum))
        }
      }
      return peak
    },
    bound(bends, group) {
      let sum = 0
      for (let g = -GROUPS_AROUND; g <= GROUPS_AROUND; g++)
        sum += reaches[g + GROUPS_AROUND] * bends[group + g]
      return sum
    },
  }
}

/** Taps of a middle on one side, nearest first; the other side mirrors them; together they sum to 1. */
function designMiddle(): Float64Array {
  const lowPass = kaiserLowPass(4 * HALF_TAPS - 1, 0.25, STOP_BAND_DB)
  const taps = Float64Array.from({ length: HALF_TAPS }, (_, k) => lowPass[2 * HALF_TAPS - 1 + 2 * k + 1])
  const sum = 2 * taps.reduce((total, tap) => total + tap, 0)
  return taps.map((tap) => tap / sum)
}

/** Taps of the points between the two middle ones of SHORT_TAPS points of the doubled grid, in turn. */
function designShort(): Float64Array {
  const lowPass = kaiserLowPass(SHORT_TAPS * SHORT_FACTOR - 1, 0.5 / SHORT_FACTOR, STOP_BAND_DB)
  const centre = (lowPass.length - 1) / 2
  const taps = new Float64Array((SHORT_FACTOR - 1) * SHORT_TAPS)
  for (let phase = 1; phase < SHORT_FACTOR; phase++) {
    const point = taps.subarray((phase - 1) * SHORT_TAPS, phase * SHORT_TAPS)
    for (let k = 0; k < SHORT_TAPS; k++) {
      point[k] = lowPass[centre + (k - SHORT_HALF_TAPS + 1) * SHORT_FACTOR - phase]
    }
    straighten(point, phase / SHORT_FACTOR)
  }
  return taps
}

/** Makes a straight line come out exactly, by a change of the two middle taps in the fifth digit. */
function straighten(point: Float64Array, fraction: number): void {
  const sum = point.reduce((total, tap) => total + tap, 0)
  for (let k = 0; k < SHORT_TAPS; k++) point[k] /= sum
  const moment = point.reduce((total, tap, k) => total + tap * (k - SHORT_HALF_TAPS + 1), 0)
  point[SHORT_HALF_TAPS] += fraction - moment
  point[SHORT_HALF_TAPS - 1] -= fraction - moment
}

/**
 * How much the second differences of each group around can add, for the worst interval
 * of a group and the worst of its points.
 */
function reachByGroup(middleTaps: Float64Array, shortTaps: Float64Array): Float64Array {
  const reaches = new Float64Array(2 * GROUPS_AROUND + 1)
  const origin = GROUPS_AROUND * GROUP_FRAMES
  for (const { taps, fraction } of pointsOverSamples(middleTaps, shortTaps, origin)) {
    const weights = bendWeights(taps, fraction, origin)
    for (let place = 0; place < GROUP_FRAMES; place++) {
      const sums = new Float64Array(reaches.length)
      for (let i = 0; i < weights.length; i++) {
        const group = Math.floor((i + place) / GROUP_FRAMES)
        if (weights[i] !== 0) sums[group] += weights[i]
      }
      for (let g = 0; g < sums.length; g++) reaches[g] = Math.max(reaches[g], sums[g])
    }
  }
  return reaches
}

interface Point {
  /** Weight of each sample in the point; `origin` is the sample before it. */
  readonly taps: Float64Array
  /** 0 to 1 of the way to the next sample. */
  readonly fraction: number
}

/** Every point of one interval as taps over samples alone. */
function pointsOverSamples(middleTaps: Float64Array, shortTaps: Float64Array, origin: number): Point[] {
  const length = 2 * origin + 2
  const sample = (n: number): Float64Array => {
    const taps = new Float64Array(length)
    taps[n] = 1
    return taps
  }
  const middle = (n: number): Float64Array => {
    const taps = new Float64Array(length)
    for (let k = 0; k < HALF_TAPS; k++) {
      taps[n - k] += middleTaps[k]
      taps[n + 1 + k] += middleTaps[k]
    }
    return taps
  }
  const from = origin - SHORT_HALF_TAPS / 2
  const grid = Array.from({ length: SHORT_TAPS + 1 }, (_, i) =>
    i % 2 === 0 ? middle(from + i / 2) : sample(from + (i + 1) / 2),
  )
  const points: Point[] = [{ taps: grid[SHORT_HALF_TAPS], fraction: 0.5 }]
  for (let half = 0; half < 2; half++) {
    for (let phase = 1; phase < SHORT_FACTOR; phase++) {
      const taps = new Float64Array(length)
      for (let k = 0; k < SHORT_TAPS; k++) {
        const weight = shortTaps[(phase - 1) * SHORT_TAPS + k]
        for (let n = 0; n < length; n++) taps[n] += weight * grid[half + k][n]
      }
      points.push({ taps, fraction: (half + phase / SHORT_FACTOR) / 2 })
    }
  }
  return points
}

/**
 * A point minus the straight line between its two samples is a filter on second
 * differences, because lines come out exactly (summation by parts, twice). Returns the
 * magnitudes of its weights; index i is the second difference around sample i.
 */
function bendWeights(taps: Float64Array, fraction: number, origin: number): Float64Array {
  const rest = taps.slice()
  rest[origin] -= 1 - fraction
  rest[origin + 1] -= fraction
  const weights = new Float64Array(taps.length)
  let once = 0
  let twice = 0
  for (let n = 0; n + 1 < rest.length; n++) {
    once += rest[n]
    twice += once
    // Rounding residue beyond the filter's end does not count as a weight.
    weights[n + 1] = Math.abs(twice) < 1e-13 ? 0 : Math.abs(twice)
  }
  return weights
}
