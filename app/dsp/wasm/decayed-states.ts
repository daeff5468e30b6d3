// Flushes decayed filter states to 0 before they become denormal numbers, which older processors
// handle 10 to 100 times slower. This happens at fixed frames, counted from the start, not at the
// ends of blocks, so that the samples do not depend on the block size.

import { kernels } from './kernels.ts'
import type { Row } from './row.ts'

interface StateFlush {
  /** Frames since the last flush; part of the stage's memory. */
  readonly memory: Float64Array
  /**
   * Calls `span` for consecutive parts of a block, each ending at the block's end or where the states
   * in `stateRow` are flushed.
   * @param span receives the first frame, the frame after the last, and `row` unchanged
   * @param stateLength number of doubles of state that are flushed
   */
  run(
    frames: number,
    span: (from: number, to: number, row: Row) => void,
    row: Row,
    stateRow: Row,
    stateLength: number,
  ): void
  /** Counts the block; called once when all channels have run. */
  advance(frames: number): void
}

/** @param everyFrames interval between flushes */
export function createStateFlush(everyFrames: number): StateFlush {
  const memory = new Float64Array(1)
  return {
    memory,
    run(frames, span, row, stateRow, stateLength) {
      // As an integer: doubles are slow as indices.
      let since = memory[0] | 0
      for (let from = 0; from < frames; ) {
        const to = Math.min(frames, from + everyFrames - since)
        span(from, to, row)
        since += to - from
        if (since === everyFrames) {
          kernels.flushDecayed(stateRow, stateLength)
          since = 0
        }
        from = to
      }
    },
    advance(frames) {
      memory[0] = (memory[0] + frames) % everyFrames
    },
  }
}
