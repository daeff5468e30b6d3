// Sections in a row over a copy of the leader. States that have decayed are cleared at fixed
// frames counted from the start, not at the ends of blocks, so that the detector's output
// does not depend on the block size.

import type { SvfCoefficients } from '../../../app/dsp/filters/svf.ts'
import { runSvf, SVF_STATE_LENGTH } from './svf.ts'

const CLEAR_EVERY_FRAMES = 512
const DEAD = 1e-15

export interface SideChainFilter {
  readonly memory: Float64Array
  /** Filters one channel's copy in place. */
  run(channel: number, samples: Float64Array, frames: number): void
}

export function createSideChainFilter(
  sections: readonly SvfCoefficients[],
  channels: number,
): SideChainFilter {
  const states = sections.length * SVF_STATE_LENGTH
  const stride = states + 1
  const memory = new Float64Array(channels * stride)
  return {
    memory,
    run(channel, samples, frames) {
      const at = channel * stride
      // As a whole number: doubles index slowly.
      let since = memory[at + states] | 0
      let from = 0
      while (from < frames) {
        const to = Math.min(frames, from + CLEAR_EVERY_FRAMES - since)
        for (let section = 0; section < sections.length; section++) {
          runSvf(sections[section], memory, at + section * SVF_STATE_LENGTH, samples, from, to)
        }
        since += to - from
        if (since === CLEAR_EVERY_FRAMES) {
          since = 0
          for (let i = at; i < at + states; i++) if (Math.abs(memory[i]) < DEAD) memory[i] = 0
        }
        from = to
      }
      memory[at + states] = since
    },
  }
}
