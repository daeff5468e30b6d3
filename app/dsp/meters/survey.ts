// Lowest and highest sample of a stretch and their sum, by a kernel.

import { BLOCK_FRAMES } from '../stage.ts'
import { copyIn, createWorkRows, kernels, viewOf } from '../wasm/kernels.ts'

/** Extremes and sum of a stretch of samples. */
export interface Survey {
  lowest: number
  highest: number
  sum: number
}

const STATE_LENGTH = 8

const rows = createWorkRows()
const surveyed = rows.row(BLOCK_FRAMES)
const stateRow = rows.row(STATE_LENGTH)
const state = viewOf(stateRow, STATE_LENGTH)

/**
 * Writes the survey of samples `from` up to `end` (excluded), at least one. NaN always shows in the sum;
 * an extreme is NaN only when the NaN comes early.
 */
export function surveySamples(samples: Float64Array, from: number, end: number, into: Survey): void {
  state.fill(samples[from], 0, 4)
  state.fill(0, 4)
  for (let at = from; at < end; at += BLOCK_FRAMES) {
    const count = Math.min(BLOCK_FRAMES, end - at)
    copyIn(samples, surveyed, count, at)
    kernels.surveyRow(surveyed, count, stateRow)
  }
  into.lowest = Math.min(state[0], state[1])
  into.highest = Math.max(state[2], state[3])
  into.sum = state[4] + state[5] + (state[6] + state[7])
}
