// Applies one gain per frame to every channel of every lane. Because all lanes are multiplied by the
// same numbers, groups that add up to the leader before still do so afterwards.

import type { Channels } from '../stage.ts'
import { copyIn, copyOut, kernels } from './kernels.ts'
import type { Row } from './row.ts'

/**
 * Multiplies every channel in place.
 * @param gains one per frame
 * @param scratch a row of a block's length, overwritten
 */
export function applyGains(lanes: readonly Channels[], gains: Row, scratch: Row, frames: number): void {
  for (let lane = 0; lane < lanes.length; lane++) {
    const channels = lanes[lane]
    for (let channel = 0; channel < channels.length; channel++) {
      copyIn(channels[channel], scratch, frames)
      kernels.multiplyRow(scratch, gains, frames)
      copyOut(scratch, channels[channel], frames)
    }
  }
}
