// A stage made of second-order sections in series, the same for every channel of
// every lane: what low-cut, tone and mic-correction have in common.

import type { SvfCoefficients } from '../filters/svf.ts'
import { BLOCK_FRAMES, type Stage, type StageLayout } from '../stage.ts'
import { createStateFlush } from '../wasm/decayed-states.ts'
import { copyIn, copyOut, createWorkRows, kernels } from '../wasm/kernels.ts'
import { type Row, rowAt } from '../wasm/row.ts'
import { PAIR_STATE_LENGTH, pairCoefficients } from '../wasm/section-pairs.ts'

/** A stage that runs sections over its lanes; without sections they stay unchanged, bit for bit. */
export function createSectionStage(sections: readonly SvfCoefficients[], layout: StageLayout): Stage {
  const count = sections.length
  const channelCount = layout.laneChannels.reduce((sum, channels) => sum + channels, 0)
  // Channels are processed in pairs, whatever their lanes; an odd last one is processed alone.
  const pairs = Array.from({ length: channelCount >> 1 }, () => new Float64Array(PAIR_STATE_LENGTH * count))
  const single = new Float64Array(channelCount % 2 === 1 ? PAIR_STATE_LENGTH * Math.ceil(count / 2) : 0)
  const flush = createStateFlush(BLOCK_FRAMES)

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

  /** @param row both channels' samples alternating */
  function runTwo(from: number, to: number, row: Row): void {
    kernels.runSectionsOfTwo(rowAt(row, 2 * from), to - from, coefficientRow, stateRow, count)
  }

  function runOne(from: number, to: number, row: Row): void {
    kernels.runSectionsOfOne(rowAt(row, from), to - from, coefficientRow, stateRow, count)
  }

  return {
    latencySamples: 0,
    memory: [...pairs, single, flush.memory],
    reductionDb: 0,
    process(lanes, frames) {
      if (count === 0) return
      copyIn(ofTwo, coefficientRow, ofTwo.length)
      let waiting: Float64Array | null = null
      let pair = 0
      for (let lane = 0; lane < lanes.length; lane++) {
        for (let channel = 0; channel < layout.laneChannels[lane]; channel++) {
          const samples = lanes[lane][channel]
          if (waiting === null) {
            waiting = samples
            continue
          }
          copyIn(waiting, left, frames)
          copyIn(samples, right, frames)
          kernels.interleaveRows(left, right, both, frames)
          const state = pairs[pair++]
          copyIn(state, stateRow, state.length)
          flush.run(frames, runTwo, both, stateRow, state.length)
          copyOut(stateRow, state, state.length)
          kernels.deinterleaveRows(both, left, right, frames)
          copyOut(left, waiting, frames)
          copyOut(right, samples, frames)
          waiting = null
        }
      }
      if (waiting !== null) {
        copyIn(ofOne, coefficientRow, ofOne.length)
        copyIn(waiting, left, frames)
        copyIn(single, stateRow, single.length)
        flush.run(frames, runOne, left, stateRow, single.length)
        copyOut(stateRow, single, single.length)
        copyOut(left, waiting, frames)
      }
      flush.advance(frames)
    },
  }
}
