// Power spectra of two real frames at once, by a kernel. The values are those of maths/fft.ts to the last bit.

import { createFftTables } from '../maths/fft.ts'
import { createKernelInstance, createWorkRows, viewOf } from './kernels.ts'
import { rowAt } from './row.ts'

/** Shapes of the window that both frames get; n runs over the points. */
const WINDOWS = {
  sine: (n: number, points: number): number => Math.sin((Math.PI * (n + 0.5)) / points),
  hann: (n: number, points: number): number => 0.5 - 0.5 * Math.cos((2 * Math.PI * n) / points),
} as const

/** Transforms two frames of one size. Nothing lasts beyond the next call of `measure`, whoever calls it. */
export interface TwoSpectra {
  /** re and im of the last two frames, bins 0 to points / 2: bin k of the first at 2 k, of the second at 2 k + 1. */
  readonly re: Float64Array
  readonly im: Float64Array
  /** Their squared magnitudes, in the same order. */
  readonly squares: Float64Array
  /** The sums of the last call of `sumBins`, one for each frame. */
  readonly sums: Float64Array
  /** @param firstFrom, secondFrom where each frame begins in its array */
  measure(first: Float64Array, firstFrom: number, second: Float64Array, secondFrom: number): void
  /** Sums the squares of bins `firstBin` to `lastBin`, both included, in this order. */
  sumBins(firstBin: number, lastBin: number): void
}

/** One for each size and window of a thread: its tables stay in a memory of its own. */
const made = new Map<string, TwoSpectra>()

/** @param points a power of two, 4 or more */
export function twoSpectraOf(points: number, window: keyof typeof WINDOWS): TwoSpectra {
  const key = `${window} ${points}`
  let spectra = made.get(key)
  if (spectra === undefined) {
    spectra = createTwoSpectra(points, WINDOWS[window])
    made.set(key, spectra)
  }
  return spectra
}

function createTwoSpectra(points: number, factorAt: (n: number, points: number) => number): TwoSpectra {
  const tables = createFftTables(points)
  const instance = createKernelInstance()
  const { kernels, memory } = instance
  const half = points / 2
  const rows = createWorkRows(instance)
  const window = rows.row(points)
  const order = rows.row(half)
  const turns = rows.row(6 * half)
  const halfTurns = rows.row(points)
  const firstRow = rows.row(points)
  const secondRow = rows.row(points)
  const reRow = rows.row(2 * (half + 1))
  const imRow = rows.row(2 * (half + 1))
  const squaresRow = rows.row(2 * (half + 1))
  const sumRow = rows.row(2)

  const factors = viewOf(window, points, instance)
  for (let n = 0; n < points; n++) factors[n] = factorAt(n, points)
  new Uint32Array(memory.buffer, order, half).set(tables.order)
  let at = 0
  for (const pass of tables.passes) {
    viewOf(rowAt(turns, at), pass.length, instance).set(pass)
    at += pass.length
  }
  const turned = viewOf(halfTurns, half + 2, instance)
  for (let k = 0; k <= half / 2; k++) {
    turned[2 * k] = tables.cosine[k]
    turned[2 * k + 1] = tables.sine[k]
  }
  const firstFrame = viewOf(firstRow, points, instance)
  const secondFrame = viewOf(secondRow, points, instance)

  return {
    re: viewOf(reRow, 2 * (half + 1), instance),
    im: viewOf(imRow, 2 * (half + 1), instance),
    squares: viewOf(squaresRow, 2 * (half + 1), instance),
    sums: viewOf(sumRow, 2, instance),
    measure(first, firstFrom, second, secondFrom) {
      firstFrame.set(first.subarray(firstFrom, firstFrom + points))
      secondFrame.set(second.subarray(secondFrom, secondFrom + points))
      kernels.writeTwoSpectra(firstRow, secondRow, half, window, order, turns, halfTurns, reRow, imRow)
      kernels.writeSquares(reRow, imRow, half + 1, squaresRow)
    },
    sumBins(firstBin, lastBin) {
      kernels.sumVectors(rowAt(squaresRow, 2 * firstBin), lastBin - firstBin + 1, sumRow)
    },
  }
}
