// A stage made of second-order sections in a row, the same for every channel of
// every lane: what low-cut, tone and mic-correction have in common.

import type { SvfCoefficients } from '../filters/svf.ts'
import { BLOCK_FRAMES, type Stage, type StageLayout } from '../stage.ts'
import { createWorkRows, kernels, put, take } from '../wasm/kernels.ts'
import { PAIR_STATE_LENGTH, pairCoefficients } from '../wasm/section-pairs.ts'

/** A stage that runs sections over its lanes; without sections it leaves them alone, bit for bit. */
export function createSectionStage(sections: readonly SvfCoefficients[], layout: StageLayout): Stage {
  const count = sections.length
  const channelCount = layout.laneChannels.reduce((sum, channels) => sum + channels, 0)
  // Channels go through in twos, whatever lanes they belong to, and an odd last one alone.
  const pairs = Array.from({ length: channelCount >> 1 }, () => new Float64Array(PAIR_STATE_LENGTH * count))
  const single = new Float64Array(channelCount % 2 === 1 ? PAIR_STATE_LENGTH * Math.ceil(count / 2) : 0)
  // Frames since the states were last cleared of dead values. They are cleared at
  // fixed frames, not at block ends: so the samples do not depend on the blocks.
  const sinceCleared = new Float64Array(1)

  const ofTwo = pairCoefficients(sections.map((section) => [section, section]))
  const ofOne = pairCoefficients(
    Array.from({ length: Math.ceil(count / 2) }, (_, k) => [sections[2 * k], sections[2 * k + 1]]),
  )
  const rows = createWorkRows()
  const coefficientRow = rows.row(Math.max(ofTwo.length, ofOne.length))
  const stateRow = rows.row(PAIR_STATE_LENGTH * count)
  const left = rows.row(BLOCK_FRAMES)
  const right = rows.row(BLOCK_FRAMES)
  const both = rows.row(2 * BLOCK_FRAMES)

  /** @param channels 2, taking turns in `both`, or 1, in `left` */
  function run(state: Float64Array, channels: 1 | 2, frames: number): void {
    put(state, stateRow, state.length)
    // As a whole number: doubles index slowly.
    let since = sinceCleared[0] | 0
    for (let from = 0; from < frames; ) {
      const to = Math.min(frames, from + BLOCK_FRAMES - since)
      if (channels === 2) {
        kernels.runSectionsOfTwo(8 * (both + 2 * from), to - from, 8 * coefficientRow, 8 * stateRow, count)
      } else {
        kernels.runSectionsOfOne(8 * (left + from), to - from, 8 * coefficientRow, 8 * stateRow, count)
      }
      since += to - from
      if (since === BLOCK_FRAMES) {
        kernels.clearDead(8 * stateRow, state.length)
        since = 0
      }
      from = to
    }
    take(stateRow, state, state.length)
  }

  return {
    latencySamples: 0,
    memory: [...pairs, single, sinceCleared],
    reductionDb: 0,
    process(lanes, frames) {
      if (count === 0) return
      put(ofTwo, coefficientRow, ofTwo.length)
      let waiting: Float64Array | null = null
      let pair = 0
      for (let lane = 0; lane < lanes.length; lane++) {
        for (let channel = 0; channel < layout.laneChannels[lane]; channel++) {
          const samples = lanes[lane][channel]
          if (waiting === null) {
            waiting = samples
            continue
          }
          put(waiting, left, frames)
          put(samples, right, frames)
          kernels.interleaveRows(8 * left, 8 * right, 8 * both, frames)
          run(pairs[pair++], 2, frames)
          kernels.separateRows(8 * both, 8 * left, 8 * right, frames)
          take(left, waiting, frames)
          take(right, samples, frames)
          waiting = null
        }
      }
      if (waiting !== null) {
        put(ofOne, coefficientRow, ofOne.length)
        put(waiting, left, frames)
        run(single, 1, frames)
        take(left, waiting, frames)
      }
      sinceCleared[0] = (sinceCleared[0] + frames) % BLOCK_FRAMES
    },
  }
}
