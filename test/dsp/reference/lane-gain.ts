// One gain per frame, given to every channel of every lane. Because the same numbers
// multiply all of them, lanes that add up before still add up after.

import type { Channels } from '../../../app/dsp/stage.ts'

/** A gain of exactly 1 leaves the sample as it is, bit for bit. */
export function applyGains(lanes: readonly Channels[], gains: Float64Array, frames: number): void {
  for (let lane = 0; lane < lanes.length; lane++) {
    const channels = lanes[lane]
    for (let channel = 0; channel < channels.length; channel++) {
      const samples = channels[channel]
      for (let i = 0; i < frames; i++) samples[i] *= gains[i]
    }
  }
}
