// The modified discrete cosine transform (MDCT) with 1024 coefficients at each sample in turn, which AAC and
// Vorbis code. A window that is a sum of few sines needs only neighbouring bins of a Fourier transform without
// window, and that one slides: each sample costs one turn and one sum per bin.

/** Coefficients of one frame; each frame begins this many samples after the one before. */
export const MDCT_HOP = 1024
const FRAME = 2 * MDCT_HOP

/** A window as w(n) = sum over m of sines[m] sin((2m + 1) pi (n + 1/2) / 2048). */
export type SineSeries = Float64Array

export interface SlidingMdct {
  /** Goes to the frame that begins at index `at`. */
  start(samples: Float64Array, at: number): void
  /** Goes to the frame that begins one sample later. */
  next(): void
  /** The coefficients under a window at the present frame, in `coefficients`; signs are left out of account. */
  read(window: SineSeries, coefficients: Float64Array): void
}

/** @param first, count which of the 1024 coefficients; `terms` sines of a window at most */
export function createSlidingMdct(first: number, count: number, terms: number): SlidingMdct {
  // With z(n) = exp(-i pi (n + 1/2) / 1024), bin j is the sum of x(n) z(n)^j, and coefficient k under the sine of
  // term m is the difference (for even k) or sum (for odd k) of real and imaginary part of bin k - m less bin k + 1 + m.
  const lowest = first - terms + 1
  const bins = count + 2 * terms
  const re = new Float64Array(bins)
  const im = new Float64Array(bins)
  const sums = new Float64Array(bins)
  const differences = new Float64Array(bins)
  const turnRe = Float64Array.from({ length: bins }, (_, b) => Math.cos((Math.PI * (lowest + b)) / MDCT_HOP))
  const turnIm = Float64Array.from({ length: bins }, (_, b) => Math.sin((Math.PI * (lowest + b)) / MDCT_HOP))
  const halfRe = Float64Array.from({ length: bins }, (_, b) => Math.cos((Math.PI * (lowest + b)) / FRAME))
  const halfIm = Float64Array.from({ length: bins }, (_, b) => Math.sin((Math.PI * (lowest + b)) / FRAME))
  let held: Float64Array = new Float64Array(0)
  let from = 0

  function slide(difference: number): void {
    for (let b = 0; b < bins; b++) {
      const real = re[b] * turnRe[b] - im[b] * turnIm[b] + difference * halfRe[b]
      im[b] = re[b] * turnIm[b] + im[b] * turnRe[b] + difference * halfIm[b]
      re[b] = real
    }
  }

  function combine(): void {
    for (let b = 0; b < bins; b++) {
      sums[b] = re[b] + im[b]
      differences[b] = re[b] - im[b]
    }
  }

  return {
    start(samples, at) {
      held = samples
      from = at
      re.fill(0)
      im.fill(0)
      for (let n = 0; n < FRAME; n++) slide(samples[at + n])
      combine()
    },
    next() {
      slide(held[from + FRAME] - held[from])
      from++
      combine()
    },
    read(window, coefficients) {
      for (let c = 0; c < count; c++) {
        const parts = ((first + c) & 1) === 0 ? differences : sums
        const below = c + terms - 1
        let value = 0
        for (let m = 0; m < window.length; m++) value += window[m] * (parts[below - m] - parts[below + 1 + m])
        coefficients[c] = value
      }
    },
  }
}
