// Decimates a voice to the low rate at which its pitch is found: a linear-phase low-pass filter that computes
// only every n-th output sample and states its delay.

import { kaiserLowPass, kaiserTaps } from '../../filters/kaiser-low-pass.ts'

/** Decimation stops above this rate, where a period of 1100 Hz has at least nine samples. */
const LOWEST_RATE_HZ = 10_000
/** Enough harmonics for the lowest voice, yet few enough for parabolic interpolation at the highest pitch. */
const PASS_HZ = 2500
const STOP_BAND_DB = 60

interface Decimator {
  readonly rateHz: number
  /**
   * Output sample m is at input sample m * factor - leadSamples; before the start the input is silence.
   * @param output room for count / factor + 1 samples
   * @returns number of samples written
   */
  add(samples: Float64Array, count: number, output: Float64Array): number
  readonly factor: number
  /** Input samples by which the first output sample precedes the first input sample. */
  readonly leadSamples: number
}

/** @param sampleRateHz of the input samples */
export function createDecimator(sampleRateHz: number): Decimator {
  const factor = Math.max(1, Math.floor(sampleRateHz / LOWEST_RATE_HZ))
  const rateHz = sampleRateHz / factor
  const stopHz = Math.max(rateHz / 2, PASS_HZ + 500)
  const wanted = kaiserTaps(STOP_BAND_DB, (stopHz - PASS_HZ) / sampleRateHz)
  // Padded with zeros to a multiple of four, so that four sums run in parallel.
  const length = 4 * Math.ceil((wanted + 1) / 4)
  const taps = new Float64Array(length)
  taps.set(kaiserLowPass(length - 1, (PASS_HZ + stopHz) / 2 / sampleRateHz, STOP_BAND_DB))
  const held = new Float64Array(length + 4096)
  let filled = length - 1

  return {
    rateHz,
    factor,
    leadSamples: length / 2,
    add(samples, count, output) {
      let read = 0
      let written = 0
      while (read < count) {
        const more = Math.min(count - read, held.length - filled)
        for (let i = 0; i < more; i++) held[filled + i] = samples[read + i]
        read += more
        filled += more
        let at = 0
        for (; at + length <= filled; at += factor) output[written++] = weightedSum(taps, held, at, length)
        held.copyWithin(0, at, filled)
        filled -= at
      }
      return written
    },
  }
}

function weightedSum(taps: Float64Array, samples: Float64Array, at: number, length: number): number {
  let a = 0
  let b = 0
  let c = 0
  let d = 0
  for (let i = 0; i < length; i += 4) {
    a += taps[i] * samples[at + i]
    b += taps[i + 1] * samples[at + i + 1]
    c += taps[i + 2] * samples[at + i + 2]
    d += taps[i + 3] * samples[at + i + 3]
  }
  return a + b + (c + d)
}
