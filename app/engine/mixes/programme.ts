// One side of a comparison: a stereo sum, rendered block by block.

import type { Channels } from '../../dsp/stage.ts'

/** A mix that renders forward from its start frame. */
export interface Programme {
  /** All of its state, positions included. */
  readonly memory: readonly Float64Array[]
  /** Stereo, valid after `render`. */
  readonly sum: Channels
  /** Starts from silence, so that the next frame out is `frame`. */
  begin(frame: number): void
  /** At most BLOCK_FRAMES. */
  render(frames: number): void
}
