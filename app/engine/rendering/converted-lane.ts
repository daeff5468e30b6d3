// A lane at another sample rate while it is being rendered: blocks go in at the rate of the plan, and blocks come out
// at the rate of the file, aligned, with the delay of the conversion taken out.

import { createRateConverter } from '../../dsp/conversion/rate-conversion.ts'
import { BLOCK_FRAMES, type Channels } from '../../dsp/stage.ts'

/** Converts one lane block by block. */
export interface ConvertedLane {
  /** Adds the next frames of the lane. At most BLOCK_FRAMES. */
  push(lane: Channels, frames: number): void
  /**
   * The next frames out, valid until the next call: 0 while too little has been pushed.
   * @returns how many frames `out` has, at most BLOCK_FRAMES
   */
  pull(): number
  readonly out: Channels
}

/**
 * @param firstFrame position of the first frame that will be pushed; frame 0 in is frame 0 out
 * @throws RangeError where the rates are not convertible
 */
export function createConvertedLane(
  fromHz: number,
  toHz: number,
  channels: number,
  firstFrame: number,
): ConvertedLane {
  const converter = createRateConverter(fromHz, toHz)
  const make = (frames: number): Channels => Array.from({ length: channels }, () => new Float64Array(frames))
  // Holds what the next block out needs, and a block more; older frames move out when it is full.
  const needed = converter.inputSpan(0, BLOCK_FRAMES).frames
  const capacity = 4 * (needed + BLOCK_FRAMES)
  const held = make(capacity)
  const out = make(BLOCK_FRAMES)
  /** Position of held[0], and of the frame after the last one held. */
  let heldFrom = firstFrame
  let heldTo = firstFrame
  let nextOut = 0

  const makeRoom = (frames: number): void => {
    if (heldTo - heldFrom + frames <= capacity) return
    const keepFrom = Math.max(heldFrom, Math.min(heldTo, converter.inputSpan(nextOut, 1).startFrame))
    for (const channel of held) channel.copyWithin(0, keepFrom - heldFrom, heldTo - heldFrom)
    heldFrom = keepFrom
  }

  return {
    out,
    push(lane, frames) {
      makeRoom(frames)
      for (let c = 0; c < channels; c++) {
        const to = held[c]
        const from = lane[c]
        for (let i = 0, at = heldTo - heldFrom; i < frames; i++, at++) to[at] = from[i]
      }
      heldTo += frames
    },
    pull() {
      // Whole blocks only, so that the bits do not depend on how the frames came in.
      const span = converter.inputSpan(nextOut, BLOCK_FRAMES)
      if (span.startFrame + span.frames > heldTo) return 0
      for (let c = 0; c < channels; c++) converter.convert(held[c], heldFrom, out[c], nextOut, BLOCK_FRAMES)
      nextOut += BLOCK_FRAMES
      return BLOCK_FRAMES
    },
  }
}
