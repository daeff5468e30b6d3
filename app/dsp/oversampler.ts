// Takes a sound to 4, 8 or 16 times its rate and back, so that a curve can bend it
// there and what falls above the first half of the rate is filtered out, not folded.
// Linear phase, and a whole number of samples of delay at the sound's own rate.
//
// All steps but the last one down are half-bands. The last one down is an ordinary
// low-pass with its stop band right above half the rate: a half-band there would let
// harmonics just over half the rate fold back (at 48 kHz the fifth of 5 kHz, 25 kHz,
// to 23 kHz).

import {
  decimateByTwo,
  decimatingHistory,
  designHalfBand,
  doubleRate,
  doublingHistory,
  halveRate,
  halvingHistory,
} from './half-band.ts'
import { kaiserLowPass, kaiserTaps } from './kaiser-low-pass.ts'
import { BLOCK_FRAMES } from './stage.ts'

export type OversamplingFactor = 4 | 8 | 16

const STOP_BAND_DB = 110
/** Pass band to 20 kHz at 44.1 and 48 kHz, and in proportion at higher rates. */
const PASS_SHARE = 20 / 48
const PASS_HZ = 20_000
/** Stop band of the last step down, of the sound's rate: 25 kHz at 48 kHz. */
const STOP_SHARE = 25 / 48

export interface Oversampler {
  readonly factor: OversamplingFactor
  /** Delay of up and down together, in samples of the sound's own rate. */
  readonly latencySamples: number
  /** Doubles that `rise` and `fall` remember for each channel. */
  readonly riseMemoryLength: number
  readonly fallMemoryLength: number
  /** Writes frames x factor samples of the high rate. */
  rise(samples: Float64Array, high: Float64Array, memory: Float64Array, frames: number): void
  /** Writes frames samples from frames x factor of the high rate. */
  fall(high: Float64Array, samples: Float64Array, memory: Float64Array, frames: number): void
}

export function createOversampler(factor: OversamplingFactor, sampleRateHz: number): Oversampler {
  const passShare = Math.max(PASS_SHARE, Math.min(PASS_HZ / sampleRateHz, 0.47))
  const steps = factor === 4 ? 2 : factor === 8 ? 3 : 4
  const filters = Array.from({ length: steps }, (_, step) =>
    designHalfBand(passShare / 2 ** (step + 1), STOP_BAND_DB),
  )
  const lastDown = designLastDown(passShare)

  // Delay in samples of the high rate; what it lacks to a whole number of the sound's
  // own samples is added on the way into the first step down. Whole-number arithmetic
  // throughout: a length that V8 keeps as a double makes every index below three times
  // as slow.
  let delay = ((lastDown.length - 1) >> 1) * (factor >> 1)
  for (let step = 0; step < steps; step++) {
    delay += (factor >> (step + 1)) * filters[step].delaySamples * (step === 0 ? 1 : 2)
  }
  const padding = (factor - (delay % factor)) % factor

  const upHistory = filters.map(doublingHistory)
  const downHistory = filters.map((filter, step) =>
    step === 0 ? decimatingHistory(lastDown) : halvingHistory(filter),
  )
  downHistory[steps - 1] += padding
  const up = filters.map((_, step) => new Float64Array(upHistory[step] + BLOCK_FRAMES * 2 ** step))
  const down = filters.map((_, step) => new Float64Array(downHistory[step] + BLOCK_FRAMES * 2 ** (step + 1)))

  return {
    factor,
    latencySamples: (delay + padding) / factor,
    riseMemoryLength: upHistory.reduce((sum, length) => sum + length, 0),
    fallMemoryLength: downHistory.reduce((sum, length) => sum + length, 0),

    rise(samples, high, memory, frames) {
      let at = 0
      put(samples, up[0], upHistory[0], frames)
      for (let step = 0; step < steps; step++) {
        const length = upHistory[step]
        const count = frames << step
        recall(memory, at, up[step], length)
        const isLast = step === steps - 1
        doubleRate(
          filters[step],
          up[step],
          length,
          count,
          isLast ? high : up[step + 1],
          isLast ? 0 : upHistory[step + 1],
        )
        remember(up[step], count, memory, at, length)
        at += length
      }
    },

    fall(high, samples, memory, frames) {
      let at = 0
      const first = steps - 1
      put(high, down[first], downHistory[first], frames * factor)
      for (let step = first; step >= 0; step--) {
        const length = downHistory[step]
        const count = frames << step
        recall(memory, at, down[step], length)
        const from = step === first ? length - padding : length
        if (step === 0) decimateByTwo(lastDown, down[0], from, count, samples, 0)
        else halveRate(filters[step], down[step], from, count, down[step - 1], downHistory[step - 1])
        remember(down[step], 2 * count, memory, at, length)
        at += length
      }
    },
  }
}

/** From twice the rate to the sound's own. @param passShare of the sound's rate */
function designLastDown(passShare: number): Float64Array {
  const pass = passShare / 2
  const stop = STOP_SHARE / 2
  const taps = 4 * Math.ceil((kaiserTaps(STOP_BAND_DB, stop - pass) - 1) / 4) + 1
  return kaiserLowPass(taps, (pass + stop) / 2, STOP_BAND_DB)
}

function put(samples: Float64Array, buffer: Float64Array, to: number, count: number): void {
  for (let i = 0; i < count; i++) buffer[to + i] = samples[i]
}

/** Puts the history before the block. */
function recall(memory: Float64Array, at: number, buffer: Float64Array, length: number): void {
  for (let i = 0; i < length; i++) buffer[i] = memory[at + i]
}

/** Keeps the last `length` samples, of a buffer of history and `count` new ones. */
function remember(
  buffer: Float64Array,
  count: number,
  memory: Float64Array,
  at: number,
  length: number,
): void {
  for (let i = 0; i < length; i++) memory[at + i] = buffer[count + i]
}
