// The peak between samples by ideal interpolation: zero padding of the spectrum with
// fft.js, sixteen times. Nothing here comes from the program.

import FFT from 'fft.js'

const FACTOR = 16
const FRAMES = 8192

/**
 * Greatest magnitude of the sixteen times finer signal. Read from overlapping frames,
 * without their outer eighths, where the joining of a frame's ends is heard.
 */
export function oversampledPeak(samples: Float64Array): number {
  const coarse = new FFT(FRAMES)
  const fine = new FFT(FRAMES * FACTOR)
  const bins = coarse.createComplexArray() as number[]
  const spread = fine.createComplexArray() as number[]
  const finer = fine.createComplexArray() as number[]
  let greatest = 0
  for (let from = -FRAMES / 8; from < samples.length; from += (FRAMES * 3) / 4) {
    const frame = Array.from({ length: FRAMES }, (_, n) => samples[from + n] ?? 0)
    coarse.realTransform(bins, frame)
    spread.fill(0)
    // The upper half alone, doubled: the real part of what comes back is the signal.
    for (let k = 0; k < FRAMES; k++) spread[k] = bins[k] * (k < 2 ? 1 : 2)
    fine.inverseTransform(finer, spread)
    const first = (FRAMES * FACTOR) / 8
    for (let n = first; n < FRAMES * FACTOR - first; n++) {
      greatest = Math.max(greatest, Math.abs(finer[2 * n]) * FACTOR)
    }
  }
  return greatest
}
