// Takes a sound to 4, 8 or 16 times its rate and back, so that a curve can bend it
// there and what falls above the first half of the rate is filtered out, not folded.
// Linear phase, and a whole number of samples of delay at the sound's own rate. In plain
// TypeScript: what the kernels of wasm/ are held against.

import {
  designOversampling,
  type OversamplingFactor,
} from '../../../app/dsp/conversion/oversampling-design.ts'
import { halveRate, halvingHistory } from '../../../app/dsp/filters/half-band.ts'
import { BLOCK_FRAMES } from '../../../app/dsp/stage.ts'
import { decimateByTwo, decimatingHistory, doubleRate, doublingHistory } from './half-band.ts'

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
  const {
    steps,
    halfBands: filters,
    lastDown,
    padding,
    latencySamples,
  } = designOversampling(factor, sampleRateHz)

  const upHistory = filters.map(doublingHistory)
  const downHistory = filters.map((filter, step) =>
    step === 0 ? decimatingHistory(lastDown) : halvingHistory(filter),
  )
  downHistory[steps - 1] += padding
  const up = filters.map((_, step) => new Float64Array(upHistory[step] + BLOCK_FRAMES * 2 ** step))
  const down = filters.map((_, step) => new Float64Array(downHistory[step] + BLOCK_FRAMES * 2 ** (step + 1)))

  return {
    factor,
    latencySamples,
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
