// The sum of many sounds in one stereo lane, each with a gain for either side.

import { BLOCK_FRAMES, type Channels } from '../stage.ts'
import { createWorkRows, kernels, put, take, work } from '../wasm/kernels.ts'

export interface PannedSound {
  /** Mono or stereo. */
  readonly channels: Channels
  readonly leftGain: number
  readonly rightGain: number
}

const rows = createWorkRows()
const left = rows.row(BLOCK_FRAMES)
const right = rows.row(BLOCK_FRAMES)
const sound = rows.row(BLOCK_FRAMES)

/** Overwrites the lane by the sum, added up in the order of `sounds`. @param frames up to BLOCK_FRAMES */
export function mixIntoLane(sounds: readonly PannedSound[], lane: Channels, frames: number): void {
  work.fill(0, left, left + frames)
  work.fill(0, right, right + frames)
  for (let k = 0; k < sounds.length; k++) {
    const { channels, leftGain, rightGain } = sounds[k]
    put(channels[0], sound, frames)
    kernels.addScaledRow(8 * sound, leftGain, 8 * left, frames)
    if (channels.length > 1) put(channels[1], sound, frames)
    kernels.addScaledRow(8 * sound, rightGain, 8 * right, frames)
  }
  take(left, lane[0], frames)
  take(right, lane[1], frames)
}
