// An oversampler on the kernels: upsamples and downsamples one block of one channel within rows of the
// kernels' memory. Sums run in the order of test/dsp/reference/oversampler.ts, so that the samples are
// the same to the last bit.

import type { Oversampling } from '../conversion/oversampling-design.ts'
import { BLOCK_FRAMES } from '../stage.ts'
import { copyIn, copyOut, kernels, type WorkRows } from './kernels.ts'
import { type Row, rowAt } from './row.ts'

interface OversamplingKernels {
  /** Doubles of state per channel. */
  readonly memoryLength: number
  /** Rows at the high rate: the upsampled signal, and even and odd samples of the signal to downsample. */
  readonly high: Row
  readonly even: Row
  readonly odd: Row
  /** Row of the dry signal, delayed by the whole latency. */
  readonly dry: Row
  /** Copies the taps in; they stay until another stage runs. */
  loadTaps(): void
  /** Copies in a block and its history. */
  recall(samples: Float64Array, memory: Float64Array, frames: number): void
  /** Writes `high` from the block. */
  rise(frames: number): void
  /** Writes the block's frames to row `to` from `even` and `odd`. */
  fall(to: Row, frames: number): void
  /** Copies out the history for the next block. */
  remember(memory: Float64Array, frames: number): void
}

/** A row with the `history` doubles before its block. */
interface Buffer {
  readonly block: Row
  readonly history: number
  /** Samples of the row for each frame of the block. */
  readonly rate: number
}

/** @param rows of the stage that oversamples */
export function createOversamplingKernels(design: Oversampling, rows: WorkRows): OversamplingKernels {
  const { steps, halfBands, lastDown, padding, latencySamples } = design
  const highest = steps - 1
  const middle = (lastDown.length - 1) / 2

  const tapRows = halfBands.map((filter) => rows.row(filter.taps.length))
  const lastDownRow = rows.row(middle + 1)
  const makeBuffer = (history: number, rate: number): Buffer => ({
    block: rowAt(rows.row(history + BLOCK_FRAMES * rate), history),
    history,
    rate,
  })
  // The first row to be upsampled also keeps the dry signal, so its history covers the latency.
  const up = halfBands.map((filter, step) => {
    const history = 2 * filter.taps.length - 1
    return makeBuffer(step === 0 ? Math.max(history, latencySamples) : history, 2 ** step)
  })
  const high = makeBuffer(0, 2 ** steps).block
  // Signals on the way down are stored as even and odd samples; the padding delays the first step's input.
  const down = halfBands.map((filter, step) => {
    const history = step === 0 ? middle : 2 * filter.taps.length + (step === highest ? padding >> 1 : 0)
    return [makeBuffer(history, 2 ** step), makeBuffer(history, 2 ** step)] as const
  })
  const lasting = [...up, ...down.flat()]

  /** Where a downsampling step reads: odd padding swaps the rows and delays the odd one by one more pair. */
  function fallFrom(step: number): readonly [even: Row, odd: Row] {
    const [even, odd] = down[step]
    if (step !== highest) return [even.block, odd.block]
    const pairs = padding >> 1
    return padding % 2 === 0
      ? [rowAt(even.block, -pairs), rowAt(odd.block, -pairs)]
      : [rowAt(odd.block, -pairs - 1), rowAt(even.block, -pairs)]
  }
  const reading = halfBands.map((_, step) => fallFrom(step))

  return {
    memoryLength: lasting.reduce((sum, row) => sum + row.history, 0),
    high,
    even: down[highest][0].block,
    odd: down[highest][1].block,
    dry: rowAt(up[0].block, -latencySamples),

    loadTaps() {
      for (let step = 0; step < steps; step++)
        copyIn(halfBands[step].taps, tapRows[step], halfBands[step].taps.length)
      copyIn(lastDown, lastDownRow, middle + 1)
    },

    recall(samples, memory, frames) {
      let at = 0
      for (let k = 0; k < lasting.length; k++) {
        const { block, history } = lasting[k]
        copyIn(memory, rowAt(block, -history), history, at)
        at += history
      }
      copyIn(samples, up[0].block, frames)
    },

    rise(frames) {
      for (let step = 0; step < steps; step++) {
        const to = step === highest ? high : up[step + 1].block
        const { length } = halfBands[step].taps
        kernels.doubleRate(tapRows[step], length, up[step].block, to, frames << step)
      }
    },

    fall(to, frames) {
      for (let step = highest; step > 0; step--) {
        const [even, odd] = reading[step]
        const [toEven, toOdd] = down[step - 1]
        const { length } = halfBands[step].taps
        kernels.halveRate(tapRows[step], length, even, odd, toEven.block, toOdd.block, frames << step)
      }
      const [even, odd] = reading[0]
      kernels.decimateByTwo(lastDownRow, middle, even, odd, to, frames)
    },

    remember(memory, frames) {
      let at = 0
      for (let k = 0; k < lasting.length; k++) {
        const { block, history, rate } = lasting[k]
        copyOut(rowAt(block, frames * rate - history), memory, history, at)
        at += history
      }
    },
  }
}
