// Lowest and highest sample of a stretch and their sum, by a kernel.

import { BLOCK_FRAMES } from '../stage.ts'
import { createWorkRows, kernels, put, work } from '../wasm/kernels.ts'

export interface Survey {
  lowest: number
  highest: number
  sum: number
}

const STATE_LENGTH = 8

const rows = createWorkRows()
const surveyed = rows.row(BLOCK_FRAMES)
const state = rows.row(STATE_LENGTH)

/**
 * Writes the survey of samples `from` up to `end` (excluded), at least one. NaN always shows in the sum;
 * an extreme is NaN only where it comes early.
 */
export function surveySamples(samples: Float64Array, from: number, end: number, into: Survey): void {
  work.fill(samples[from], state, state + 4)
  work.fill(0, state + 4, state + STATE_LENGTH)
  for (let at = from; at < end; at += BLOCK_FRAMES) {
    const count = Math.min(BLOCK_FRAMES, end - at)
    put(samples.subarray(at, at + count), surveyed, count)
    kernels.surveyRow(8 * surveyed, count, 8 * state)
  }
  into.lowest = Math.min(work[state], work[state + 1])
  into.highest = Math.max(work[state + 2], work[state + 3])
  into.sum = work[state + 4] + work[state + 5] + (work[state + 6] + work[state + 7])
}
