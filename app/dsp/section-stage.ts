// A stage made of second-order sections in a row, the same for every channel of
// every lane: what low-cut, tone and mic-correction have in common.

import { BLOCK_FRAMES, type Stage, type StageLayout } from './stage.ts'
import { clearDeadStates, type SvfCoefficients } from './svf.ts'
import { createWorkRows, kernels, work } from './wasm/kernels.ts'
import { PAIR_STATE_LENGTH, pairCoefficients } from './wasm/section-pairs.ts'

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
  const ofTwoRow = rows.row(ofTwo.length)
  const ofOneRow = rows.row(ofOne.length)
  const stateRow = rows.row(PAIR_STATE_LENGTH * count)
  const soundRow = rows.row(2 * BLOCK_FRAMES)

  function runTwo(
    left: Float64Array,
    right: Float64Array,
    state: Float64Array,
    from: number,
    to: number,
  ): void {
    for (let i = from, at = soundRow; i < to; i++, at += 2) {
      work[at] = left[i]
      work[at + 1] = right[i]
    }
    for (let i = 0; i < state.length; i++) work[stateRow + i] = state[i]
    kernels.runSectionsOfTwo(8 * soundRow, to - from, 8 * ofTwoRow, 8 * stateRow, count)
    for (let i = 0; i < state.length; i++) state[i] = work[stateRow + i]
    for (let i = from, at = soundRow; i < to; i++, at += 2) {
      left[i] = work[at]
      right[i] = work[at + 1]
    }
  }

  function runOne(samples: Float64Array, state: Float64Array, from: number, to: number): void {
    for (let i = from, at = soundRow; i < to; i++, at++) work[at] = samples[i]
    for (let i = 0; i < state.length; i++) work[stateRow + i] = state[i]
    kernels.runSectionsOfOne(8 * soundRow, to - from, 8 * ofOneRow, 8 * stateRow, count)
    for (let i = 0; i < state.length; i++) state[i] = work[stateRow + i]
    for (let i = from, at = soundRow; i < to; i++, at++) samples[i] = work[at]
  }

  return {
    latencySamples: 0,
    memory: [...pairs, single, sinceCleared],
    reductionDb: 0,
    process(lanes, frames) {
      if (count === 0) return
      for (let i = 0; i < ofTwo.length; i++) work[ofTwoRow + i] = ofTwo[i]
      for (let i = 0; i < ofOne.length; i++) work[ofOneRow + i] = ofOne[i]
      // As a whole number: doubles index slowly.
      let since = sinceCleared[0] | 0
      let from = 0
      while (from < frames) {
        const to = Math.min(frames, from + BLOCK_FRAMES - since)
        let waiting: Float64Array | null = null
        let pair = 0
        for (let lane = 0; lane < lanes.length; lane++) {
          for (let channel = 0; channel < layout.laneChannels[lane]; channel++) {
            const samples = lanes[lane][channel]
            if (waiting === null) waiting = samples
            else {
              runTwo(waiting, samples, pairs[pair++], from, to)
              waiting = null
            }
          }
        }
        if (waiting !== null) runOne(waiting, single, from, to)
        since += to - from
        if (since === BLOCK_FRAMES) {
          for (let k = 0; k < pairs.length; k++) clearDeadStates(pairs[k])
          clearDeadStates(single)
          since = 0
        }
        from = to
      }
      sinceCleared[0] = since
    },
  }
}
