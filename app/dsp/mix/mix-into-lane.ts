// The sum of many sounds in one stereo lane, each with a gain for either side.

import { BLOCK_FRAMES, type Channels } from '../stage.ts'
import { clearRow, copyIn, copyOut, createWorkRows, kernels } from '../wasm/kernels.ts'

/** A sound with its gain to either side. */
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

/** Overwrites the lane with the sum, added up in the order of `sounds`. @param frames up to BLOCK_FRAMES */
export function mixIntoLane(sounds: readonly PannedSound[], lane: Channels, frames: number): void {
  clearRow(left, frames)
  clearRow(right, frames)
  for (let k = 0; k < sounds.length; k++) {
    const { channels, leftGain, rightGain } = sounds[k]
    copyIn(channels[0], sound, frames)
    kernels.addScaledRow(sound, leftGain, left, frames)
    if (channels.length > 1) copyIn(channels[1], sound, frames)
    kernels.addScaledRow(sound, rightGain, right, frames)
  }
  copyOut(left, lane[0], frames)
  copyOut(right, lane[1], frames)
}
