// An oversampler on the kernels: the steps up and down of one block of one channel, within
// rows of the kernels' memory. Sums run in the order of plain/oversampler.ts, so that the samples
// are the same to the last bit.

import type { Oversampling } from '../conversion/oversampling-design.ts'
import { BLOCK_FRAMES } from '../stage.ts'
import { kernels, put, type WorkRows, work } from './kernels.ts'

export interface OversamplingKernels {
  /** Doubles that a channel remembers from block to block. */
  readonly memoryLength: number
  /** Rows of the high rate: what rises, and the samples of even and odd place of what is to fall. */
  readonly high: number
  readonly even: number
  readonly odd: number
  /** Row of the sound as it came, late by the whole delay. */
  readonly dry: number
  /** Puts the taps in place; they hold until another stage works. */
  loadTaps(): void
  /** Puts a block and what came before it in place. */
  recall(samples: Float64Array, memory: Float64Array, frames: number): void
  /** Writes `high` from the block. */
  rise(frames: number): void
  /** Writes the block's frames to row `to` from `even` and `odd`. */
  fall(to: number, frames: number): void
  /** Keeps what the next block needs. */
  remember(memory: Float64Array, frames: number): void
}

/** A row whose block begins `history` doubles after its start. */
interface Row {
  readonly block: number
  readonly history: number
  /** Samples of the row for each frame of the block. */
  readonly rate: number
}

export function createOversamplingKernels(design: Oversampling, rows: WorkRows): OversamplingKernels {
  const { steps, halfBands, lastDown, padding, latencySamples } = design
  const highest = steps - 1
  const middle = (lastDown.length - 1) / 2

  const tapRows = halfBands.map((filter) => rows.row(filter.taps.length))
  const lastDownRow = rows.row(middle + 1)
  const makeRow = (history: number, rate: number): Row => ({
    block: rows.row(history + BLOCK_FRAMES * rate) + history,
    history,
    rate,
  })
  // The sound as it came waits in the row that rises first.
  const up = halfBands.map((filter, step) => {
    const history = 2 * filter.taps.length - 1
    return makeRow(step === 0 ? Math.max(history, latencySamples) : history, 2 ** step)
  })
  const high = makeRow(0, 2 ** steps).block
  // What falls from step to step lies split; the padding makes the first step read later.
  const down = halfBands.map((filter, step) => {
    const history = step === 0 ? middle : 2 * filter.taps.length + (step === highest ? padding >> 1 : 0)
    return [makeRow(history, 2 ** step), makeRow(history, 2 ** step)] as const
  })
  const lasting = [...up, ...down.flat()]

  /** Where a step down begins to read: odd padding swaps the rows, and the odd one is a pair later. */
  function fallFrom(step: number): readonly [even: number, odd: number] {
    const [even, odd] = down[step]
    if (step !== highest) return [even.block, odd.block]
    const pairs = padding >> 1
    return padding % 2 === 0
      ? [even.block - pairs, odd.block - pairs]
      : [odd.block - pairs - 1, even.block - pairs]
  }
  const reading = halfBands.map((_, step) => fallFrom(step))

  return {
    memoryLength: lasting.reduce((sum, row) => sum + row.history, 0),
    high,
    even: down[highest][0].block,
    odd: down[highest][1].block,
    dry: up[0].block - latencySamples,

    loadTaps() {
      for (let step = 0; step < steps; step++)
        put(halfBands[step].taps, tapRows[step], halfBands[step].taps.length)
      put(lastDown, lastDownRow, middle + 1)
    },

    recall(samples, memory, frames) {
      let at = 0
      for (let k = 0; k < lasting.length; k++) {
        const { block, history } = lasting[k]
        for (let i = 0; i < history; i++) work[block - history + i] = memory[at + i]
        at += history
      }
      put(samples, up[0].block, frames)
    },

    rise(frames) {
      for (let step = 0; step < steps; step++) {
        const to = step === highest ? high : up[step + 1].block
        const { length } = halfBands[step].taps
        kernels.doubleRate(8 * tapRows[step], length, 8 * up[step].block, 8 * to, frames << step)
      }
    },

    fall(to, frames) {
      for (let step = highest; step > 0; step--) {
        const [even, odd] = reading[step]
        const [toEven, toOdd] = down[step - 1]
        const { length } = halfBands[step].taps
        kernels.halveRate(
          8 * tapRows[step],
          length,
          8 * even,
          8 * odd,
          8 * toEven.block,
          8 * toOdd.block,
          frames << step,
        )
      }
      const [even, odd] = reading[0]
      kernels.decimateByTwo(8 * lastDownRow, middle, 8 * even, 8 * odd, 8 * to, frames)
    },

    remember(memory, frames) {
      let at = 0
      for (let k = 0; k < lasting.length; k++) {
        const { block, history, rate } = lasting[k]
        const end = block + frames * rate
        for (let i = 0; i < history; i++) memory[at + i] = work[end - history + i]
        at += history
      }
    },
  }
}
