// One second-order section whose gain changes every sample, the same for every channel of
// every lane. It is a trapezoidal state-variable filter, because its state stays valid when
// the coefficients change. Where the reduction is 0, samples pass through bit for bit.
// Source of the shapes: W3C Audio EQ Cookbook (8 June 2021), as in filters/cookbook.ts.

import { warp } from '../../../app/dsp/filters/cookbook.ts'
import { BLOCK_FRAMES, type Channels } from '../../../app/dsp/stage.ts'

const NEPERS_OF_A_PER_DB = Math.LN10 / 40
const CLEAR_EVERY_FRAMES = 512
const DEAD = 1e-15

export interface DynamicSection {
  readonly memory: readonly Float64Array[]
  /** Attenuates each frame in place, by 0 dB or more. */
  run(lanes: readonly Channels[], reductionsDb: Float64Array, frames: number): void
}

export function createDynamicSection(
  shape: 'high-shelf' | 'bell',
  frequencyHz: number,
  q: number,
  laneChannels: readonly number[],
  sampleRateHz: number,
): DynamicSection {
  const baseG = warp(frequencyHz, sampleRateHz)
  const states = laneChannels.map((channels) => Array.from({ length: channels }, () => new Float64Array(2)))
  const sinceCleared = new Float64Array(1)
  // Coefficients of each frame of the block: v1 = b1 c1 + b2 (x - c2), v2 = c2 + b2 c1 + b3 (x - c2).
  const b1 = new Float64Array(BLOCK_FRAMES)
  const b2 = new Float64Array(BLOCK_FRAMES)
  const b3 = new Float64Array(BLOCK_FRAMES)
  const m0 = new Float64Array(BLOCK_FRAMES)
  const m1 = new Float64Array(BLOCK_FRAMES)
  const m2 = new Float64Array(BLOCK_FRAMES)

  function design(reductionsDb: Float64Array, frames: number): void {
    let lastDb = -1
    for (let i = 0; i < frames; i++) {
      const reductionDb = reductionsDb[i]
      if (reductionDb === lastDb) {
        b1[i] = b1[i - 1]
        b2[i] = b2[i - 1]
        b3[i] = b3[i - 1]
        m0[i] = m0[i - 1]
        m1[i] = m1[i - 1]
        m2[i] = m2[i - 1]
        continue
      }
      lastDb = reductionDb
      const a = Math.exp(-reductionDb * NEPERS_OF_A_PER_DB)
      const square = a * a
      let g = baseG
      let k = 1 / q
      if (shape === 'bell') {
        k /= a
        m0[i] = 1
        m1[i] = k * (square - 1)
        m2[i] = 0
      } else {
        g *= Math.sqrt(a)
        m0[i] = square
        m1[i] = k * (1 - a) * a
        m2[i] = 1 - square
      }
      const scale = 1 / (1 + g * (g + k))
      b1[i] = scale
      b2[i] = g * scale
      b3[i] = g * g * scale
    }
  }

  function filter(
    samples: Float64Array,
    state: Float64Array,
    reductionsDb: Float64Array,
    from: number,
    to: number,
  ) {
    let c1 = state[0]
    let c2 = state[1]
    for (let i = from; i < to; i++) {
      const x = samples[i]
      const v3 = x - c2
      const v1 = b1[i] * c1 + b2[i] * v3
      const v2 = c2 + b2[i] * c1 + b3[i] * v3
      c1 = 2 * v1 - c1
      c2 = 2 * v2 - c2
      if (reductionsDb[i] !== 0) samples[i] = m0[i] * x + m1[i] * v1 + m2[i] * v2
    }
    state[0] = c1
    state[1] = c2
  }

  return {
    memory: [...states.flat(), sinceCleared],
    run(lanes, reductionsDb, frames) {
      design(reductionsDb, frames)
      // `| 0` makes it an integer, because indexing with doubles is slow.
      let since = sinceCleared[0] | 0
      let from = 0
      while (from < frames) {
        const to = Math.min(frames, from + CLEAR_EVERY_FRAMES - since)
        for (let lane = 0; lane < lanes.length; lane++) {
          for (let channel = 0; channel < states[lane].length; channel++) {
            filter(lanes[lane][channel], states[lane][channel], reductionsDb, from, to)
          }
        }
        since += to - from
        if (since === CLEAR_EVERY_FRAMES) {
          since = 0
          for (let lane = 0; lane < states.length; lane++) {
            for (let channel = 0; channel < states[lane].length; channel++) clearDead(states[lane][channel])
          }
        }
        from = to
      }
      sinceCleared[0] = since
    },
  }
}

/** Avoids denormals, which are slow. */
function clearDead(state: Float64Array): void {
  if (Math.abs(state[0]) < DEAD) state[0] = 0
  if (Math.abs(state[1]) < DEAD) state[1] = 0
}
