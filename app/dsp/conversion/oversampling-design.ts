// The filters that take a sound to 4, 8 or 16 times its rate and back, and their total
// latency. All steps but the last one down are half-bands. The last one down is an
// ordinary low-pass with its stop band from half the rate: a half-band there would
// let harmonics just over half the rate fold back (at 48 kHz the third of 8 kHz, 24 kHz,
// stays there, and that of 8.2 kHz comes back at 23.4 kHz).

import { designHalfBand, type HalfBand } from '../filters/half-band.ts'
import { kaiserLowPass, kaiserTaps } from '../filters/kaiser-low-pass.ts'

/** Times the sample rate. */
export type OversamplingFactor = 4 | 8 | 16

const STOP_BAND_DB = 110
/** Pass band to 20 kHz at 44.1 and 48 kHz, and in proportion at higher rates. */
const PASS_SHARE = 20 / 48
const PASS_HZ = 20_000
/** Start of the stop band of the last step down, as a share of the sound's rate. */
const STOP_SHARE = 1 / 2

/** All filters of one factor at one sample rate. */
export interface Oversampling {
  readonly factor: OversamplingFactor
  /** Doublings on the way up. */
  readonly steps: number
  /** One for each step up; on the way down the first is not used. */
  readonly halfBands: readonly HalfBand[]
  /** Taps of the last step down, 4 K + 1. */
  readonly lastDown: Float64Array
  /** Delay added to the first step down, in samples of the high rate, to make `latencySamples` whole. */
  readonly padding: number
  /** Delay of up and down together, in samples of the sound's own rate. */
  readonly latencySamples: number
}

/** @param sampleRateHz of the sound */
export function designOversampling(factor: OversamplingFactor, sampleRateHz: number): Oversampling {
  const passShare = Math.max(PASS_SHARE, Math.min(PASS_HZ / sampleRateHz, 0.47))
  const steps = factor === 4 ? 2 : factor === 8 ? 3 : 4
  const halfBands = Array.from({ length: steps }, (_, step) =>
    designHalfBand(passShare / 2 ** (step + 1), STOP_BAND_DB),
  )
  const lastDown = designLastDown(passShare)

  // Delay in samples of the high rate. Whole-number arithmetic throughout: a length that V8
  // stores as a double makes every index computed from it three times as slow.
  let delay = ((lastDown.length - 1) >> 1) * (factor >> 1)
  for (let step = 0; step < steps; step++) {
    delay += (factor >> (step + 1)) * halfBands[step].delaySamples * (step === 0 ? 1 : 2)
  }
  const padding = (factor - (delay % factor)) % factor
  return { factor, steps, halfBands, lastDown, padding, latencySamples: (delay + padding) / factor }
}

/** From twice the rate to the sound's own. @param passShare of the sound's rate */
function designLastDown(passShare: number): Float64Array {
  const pass = passShare / 2
  const stop = STOP_SHARE / 2
  const taps = 4 * Math.ceil((kaiserTaps(STOP_BAND_DB, stop - pass) - 1) / 4) + 1
  return kaiserLowPass(taps, (pass + stop) / 2, STOP_BAND_DB)
}
