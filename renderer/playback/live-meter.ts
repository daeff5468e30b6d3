// The meter of what is heard, on the audio thread: true peaks of both sides, momentary and short-term
// loudness after EBU Tech 3341 and ITU-R BS.1770-5, and the correlation of the sides. All its memory is there from the start. The meters of
// app/dsp keep figures of a whole programme and run in kernels; this one forgets, and needs neither.

import { kWeightingCoefficients } from '../../app/dsp/meters/k-weighting-design.ts'
import { createInterpolator, GROUP_FRAMES } from '../../app/dsp/meters/true-peak-interpolator.ts'

/** Places of the readings. Peaks are linear, loudness is in LUFS; NaN while there is no value. */
export const METER = {
  /** Greatest true peak of the last 50 to 100 ms. */
  peakLeft: 0,
  peakRight: 1,
  /** Of the last 400 ms and of the last 3 s. */
  momentary: 2,
  shortTerm: 3,
  /** Greatest true peak of either side since playback started. */
  maxPeak: 4,
  /** Of left and right over the last 400 ms, -1 to 1; NaN where either is silent or both are below -50 dBFS. */
  correlation: 5,
} as const
export const METERS = 6

export interface LiveMeter {
  /** Takes the next frames and writes the readings. */
  add(left: Float32Array, right: Float32Array, frames: number, readings: Float32Array): void
  /** Forgets everything. */
  reset(readings: Float32Array): void
}

const HOPS_PER_SECOND = 20
const MOMENTARY_HOPS = 8
const SHORT_TERM_HOPS = 60
/** Of the correlation; as many as the stack's check looks at. */
const CORRELATED_HOPS = 8
/** -50 dBFS, mean of the sides: the correlation of room noise tells nothing. */
const CORRELATED_FROM_POWER = 1e-5
/** BS.1770-5 Annex 1 eq. 2. */
const OFFSET_LU = -0.691
/** Below this a filter's state is inaudible and would become denormal, which is slow. */
const NEGLIGIBLE = 1e-15
/** Points per sample; four read a tone at 0.45 of the rate up to 0.6 dB low (BS.1770-5 Attachment 1). */
const FACTOR = 4
/** Intervals between samples that are both below this part of the hop's peak are not interpolated. */
const WORTH_LOOKING = 0.5
/** State of one side: two second-order sections in transposed direct form II. */
const STATES = 4

/** Stereo at one sample rate. */
export function createLiveMeter(sampleRateHz: number): LiveMeter {
  const { shelf, highPass } = kWeightingCoefficients(sampleRateHz)
  const interpolator = createInterpolator(FACTOR)
  const states = [new Float64Array(STATES), new Float64Array(STATES)]
  const energies = new Float64Array(SHORT_TERM_HOPS)
  const lengths = new Float64Array(SHORT_TERM_HOPS)
  /** Of each of the last hops: the sums of left squared, right squared, and left times right. */
  const products = new Float64Array(3 * CORRELATED_HOPS)
  // The interpolator reads 23 samples before an interval and 24 after it.
  const history = [new Float64Array(4 * GROUP_FRAMES), new Float64Array(4 * GROUP_FRAMES)]
  const peaks = new Float64Array(2)
  const peaksBefore = new Float64Array(2)
  let at = 0
  let maxPeak = 0
  let hops = 0
  let energy = 0
  let hopFrames = 0
  let frame = 0
  let hopEnd = Math.round(sampleRateHz / HOPS_PER_SECOND)

  const filterSide = (samples: Float32Array, from: number, to: number, state: Float64Array): number => {
    let s1 = state[0]
    let s2 = state[1]
    let h1 = state[2]
    let h2 = state[3]
    let sum = 0
    for (let i = from; i < to; i++) {
      const x = samples[i]
      const y = shelf.b0 * x + s1
      s1 = shelf.b1 * x - shelf.a1 * y + s2
      s2 = shelf.b2 * x - shelf.a2 * y
      const z = highPass.b0 * y + h1
      h1 = highPass.b1 * y - highPass.a1 * z + h2
      h2 = highPass.b2 * y - highPass.a2 * z
      sum += z * z
    }
    state[0] = Math.abs(s1) < NEGLIGIBLE ? 0 : s1
    state[1] = Math.abs(s2) < NEGLIGIBLE ? 0 : s2
    state[2] = Math.abs(h1) < NEGLIGIBLE ? 0 : h1
    state[3] = Math.abs(h2) < NEGLIGIBLE ? 0 : h2
    return sum
  }

  /** The history is written twice, half its length apart, so that every interval lies in one piece. */
  const peakSide = (samples: Float32Array, from: number, to: number, side: number): void => {
    const past = history[side]
    const half = past.length / 2
    let peak = peaks[side]
    let place = at
    for (let i = from; i < to; i++) {
      const sample = samples[i]
      past[place] = sample
      past[place + half] = sample
      place = place + 1 === half ? 0 : place + 1
      // The oldest sample is at `place`; the interval lies in the middle of the last 48.
      const n = place + GROUP_FRAMES - 1
      const least = WORTH_LOOKING * peak
      const near = Math.max(Math.abs(past[n]), Math.abs(past[n + 1]))
      if (near > least) {
        const found = interpolator.intervalPeak(past, n)
        if (found > peak) peak = found
      }
    }
    peaks[side] = peak
  }

  /** Adds to the place of the hop that is being filled. */
  const multiply = (left: Float32Array, right: Float32Array, from: number, to: number): void => {
    const place = 3 * (hops % CORRELATED_HOPS)
    let ofLeft = 0
    let ofRight = 0
    let ofBoth = 0
    for (let i = from; i < to; i++) {
      ofLeft += left[i] * left[i]
      ofRight += right[i] * right[i]
      ofBoth += left[i] * right[i]
    }
    products[place] += ofLeft
    products[place + 1] += ofRight
    products[place + 2] += ofBoth
  }

  const correlationOf = (): number => {
    if (hops < CORRELATED_HOPS) return Number.NaN
    let ofLeft = 0
    let ofRight = 0
    let ofBoth = 0
    let frames = 0
    for (let hop = 0; hop < CORRELATED_HOPS; hop++) {
      ofLeft += products[3 * hop]
      ofRight += products[3 * hop + 1]
      ofBoth += products[3 * hop + 2]
      frames += lengths[(hops - 1 - hop) % SHORT_TERM_HOPS]
    }
    if (ofLeft === 0 || ofRight === 0 || ofLeft + ofRight < 2 * CORRELATED_FROM_POWER * frames)
      return Number.NaN
    return ofBoth / Math.sqrt(ofLeft * ofRight)
  }

  const loudnessOf = (count: number): number => {
    if (hops < count) return Number.NaN
    let sum = 0
    let frames = 0
    for (let i = 1; i <= count; i++) {
      const place = (hops - i) % SHORT_TERM_HOPS
      sum += energies[place]
      frames += lengths[place]
    }
    return sum > 0 ? OFFSET_LU + 10 * Math.log10(sum / frames) : Number.NaN
  }

  const closeHop = (readings: Float32Array): void => {
    energies[hops % SHORT_TERM_HOPS] = energy
    lengths[hops % SHORT_TERM_HOPS] = hopFrames
    hops++
    energy = 0
    hopFrames = 0
    hopEnd = Math.round(((hops + 1) * sampleRateHz) / HOPS_PER_SECOND)
    readings[METER.momentary] = loudnessOf(MOMENTARY_HOPS)
    readings[METER.shortTerm] = loudnessOf(SHORT_TERM_HOPS)
    readings[METER.correlation] = correlationOf()
    products.fill(0, 3 * (hops % CORRELATED_HOPS), 3 * (hops % CORRELATED_HOPS) + 3)
    for (let side = 0; side < 2; side++) {
      peaksBefore[side] = peaks[side]
      peaks[side] = 0
    }
  }

  return {
    add(left, right, frames, readings) {
      for (let from = 0; from < frames; ) {
        const to = Math.min(frames, from + hopEnd - frame)
        energy += filterSide(left, from, to, states[0]) + filterSide(right, from, to, states[1])
        peakSide(left, from, to, 0)
        peakSide(right, from, to, 1)
        multiply(left, right, from, to)
        at = (at + to - from) % (history[0].length / 2)
        hopFrames += to - from
        frame += to - from
        from = to
        maxPeak = Math.max(maxPeak, peaks[0], peaks[1])
        readings[METER.peakLeft] = Math.max(peaks[0], peaksBefore[0])
        readings[METER.peakRight] = Math.max(peaks[1], peaksBefore[1])
        readings[METER.maxPeak] = maxPeak
        if (frame === hopEnd) closeHop(readings)
      }
    },
    reset(readings) {
      for (let side = 0; side < 2; side++) {
        states[side].fill(0)
        history[side].fill(0)
      }
      peaks.fill(0)
      peaksBefore.fill(0)
      products.fill(0)
      at = 0
      maxPeak = 0
      hops = 0
      energy = 0
      hopFrames = 0
      frame = 0
      hopEnd = Math.round(sampleRateHz / HOPS_PER_SECOND)
      readings.fill(0)
      readings[METER.momentary] = Number.NaN
      readings[METER.shortTerm] = Number.NaN
      readings[METER.correlation] = Number.NaN
    },
  }
}
