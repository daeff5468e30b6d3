// One side of what is listened to: a stereo sum that runs on block by block.

import type { Channels } from '../../dsp/stage.ts'

/** A mix that renders forward from where it was started. */
export interface Programme {
  /** All that it remembers, positions included. */
  readonly memory: readonly Float64Array[]
  /** Stereo, valid after `render`. */
  readonly sum: Channels
  /** Starts from silence, so that the next frame out is `frame`. */
  begin(frame: number): void
  /** At most BLOCK_FRAMES. */
  render(frames: number): void
}
