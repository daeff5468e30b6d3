// Sections in a row in plain TypeScript: what createSectionStage, which runs on the kernels,
// is held against.

import type { SvfCoefficients } from '../../../app/dsp/filters/svf.ts'
import { BLOCK_FRAMES, type Channels, type Stage, type StageLayout } from '../../../app/dsp/stage.ts'
import { clearDeadStates, runSvf, runSvfPair, SVF_STATE_LENGTH } from './svf.ts'

export function createPlainSectionStage(sections: readonly SvfCoefficients[], layout: StageLayout): Stage {
  const channelStride = SVF_STATE_LENGTH * sections.length
  const channelCount = layout.laneChannels.reduce((sum, channels) => sum + channels, 0)
  const state = new Float64Array(channelStride * channelCount)
  // Frames since the states were last cleared of dead values. They are cleared at
  // fixed frames, not at block ends: so the samples do not depend on the blocks.
  const sinceCleared = new Float64Array(1)

  function processSpan(lanes: readonly Channels[], from: number, to: number): void {
    let single: Float64Array | undefined
    let at = 0
    for (let lane = 0; lane < lanes.length; lane++) {
      const channels = lanes[lane]
      for (let channel = 0; channel < channels.length; channel++) {
        if (single === undefined) {
          single = channels[channel]
          continue
        }
        for (let s = 0; s < sections.length; s++) {
          const left = at + SVF_STATE_LENGTH * s
          runSvfPair(sections[s], state, left, left + channelStride, single, channels[channel], from, to)
        }
        at += 2 * channelStride
        single = undefined
      }
    }
    if (single === undefined) return
    for (let s = 0; s < sections.length; s++) {
      runSvf(sections[s], state, at + SVF_STATE_LENGTH * s, single, from, to)
    }
  }

  return {
    latencySamples: 0,
    memory: [state, sinceCleared],
    reductionDb: 0,
    process(lanes, frames) {
      if (sections.length === 0) return
      let from = 0
      while (from < frames) {
        const to = Math.min(frames, from + BLOCK_FRAMES - sinceCleared[0])
        processSpan(lanes, from, to)
        sinceCleared[0] += to - from
        if (sinceCleared[0] === BLOCK_FRAMES) {
          clearDeadStates(state)
          sinceCleared[0] = 0
        }
        from = to
      }
    },
  }
}
