// The power of a sound as a sum over its samples.

import { BLOCK_FRAMES } from '../stage.ts'
import { copyIn, createWorkRows, kernels } from '../wasm/kernels.ts'

const row = createWorkRows().row(BLOCK_FRAMES)

/** Sum of the squares of `frames` samples from index `from` on. @param frames up to BLOCK_FRAMES */
export function sumOfSquares(samples: Float64Array, frames: number, from = 0): number {
  copyIn(samples, row, frames, from)
  return kernels.sumOfSquares(row, frames)
}
