// Pairs of equal magnitude among the coefficients of a modified discrete cosine transform (MDCT) of 1024, which AAC and
// Vorbis code, in frames that begin at each sample in turn. A window that is a sum of few sines needs only
// neighbouring bins of a Fourier transform without window, and that one slides: with z(n) = exp(-i pi (n + 1/2) / 1024),
// bin j is the sum of x(n) z(n)^j, and coefficient k under the sine of term m is real less (even k) or plus (odd k)
// imaginary part of bin k - m less bin k + 1 + m, but for a constant factor and its sign.

import { copyIn, createWorkRows, kernels, viewOf } from '../../wasm/kernels.ts'
import { rowAt } from '../../wasm/row.ts'
import { STRETCH_HOP, type Stretch } from './loud-stretches.ts'
import { TOLERANCE } from './tolerance.ts'
import { FRAME, type SineSeries, WINDOW_TERMS } from './windows.ts'

/** Frames begin this many samples after one another. */
export const MDCT_HOP = FRAME / 2
/** Coefficients 256 to 319: 6 to 7.5 kHz at 48 kHz, where the sibilants of a voice are loud. Even, as the kernel needs it. */
const FIRST_LINE = 256
const LINES = 64
const LOWEST_BIN = FIRST_LINE - WINDOW_TERMS + 1
const BINS = LINES + 2 * WINDOW_TERMS

/** Pairs in a stretch by the sample at which frames begin, modulo 1024: an array for each window. */
export function countMdctPairs({ samples }: Stretch, windows: readonly SineSeries[]): Float64Array[] {
  const rows = createWorkRows()
  const differences = rows.row(Math.max(FRAME, STRETCH_HOP))
  const re = rows.row(BINS)
  const im = rows.row(BINS)
  const turns = rows.row(4 * BINS)
  const series = rows.row((WINDOW_TERMS * windows.length) / 2)
  const work = rows.row(BINS + 32)
  const counts = rows.row(MDCT_HOP * windows.length)

  writeTurns(viewOf(turns, 4 * BINS))
  const factors = viewOf(series, (WINDOW_TERMS * windows.length) / 2)
  const floats = new Float32Array(factors.buffer, factors.byteOffset, WINDOW_TERMS * windows.length)
  for (const [w, window] of windows.entries()) floats.set(window, w * WINDOW_TERMS)
  const counted = viewOf(counts, MDCT_HOP * windows.length)
  counted.fill(0)
  viewOf(re, BINS).fill(0)
  viewOf(im, BINS).fill(0)
  copyIn(samples, differences, FRAME)
  kernels.slideBins(differences, FRAME, BINS, re, im, turns)
  const changes = viewOf(differences, STRETCH_HOP)
  for (let n = 0; n + 1 < STRETCH_HOP; n++) changes[n] = samples[n + FRAME] - samples[n]
  for (let n = 0; n < STRETCH_HOP; n++) {
    const own = rowAt(counts, n % MDCT_HOP)
    kernels.countUnderWindows(
      ...([BINS, re, im, series, windows.length, WINDOW_TERMS, LINES, TOLERANCE] as const),
      ...([work, own, 8 * MDCT_HOP] as const),
    )
    if (n + 1 < STRETCH_HOP) kernels.slideBins(rowAt(differences, n), 1, BINS, re, im, turns)
  }
  return windows.map((_, w) => counted.slice(w * MDCT_HOP, (w + 1) * MDCT_HOP))
}

function writeTurns(turns: Float64Array): void {
  for (let b = 0; b < BINS; b++) {
    const angle = (Math.PI * (LOWEST_BIN + b)) / MDCT_HOP
    turns[b] = Math.cos(angle)
    turns[BINS + b] = Math.sin(angle)
    turns[2 * BINS + b] = Math.cos(angle / 2)
    turns[3 * BINS + b] = Math.sin(angle / 2)
  }
}
