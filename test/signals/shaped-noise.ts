// Noise with known levels in bands: random phases under a staircase spectrum, by one long
// transform of fft.js, so that the level in each band is exact over the whole signal.

import FFT from 'fft.js'
import { createRandom } from '../../app/dsp/maths/random.ts'

export interface NoiseBand {
  readonly lowerHz: number
  readonly upperHz: number
  /** RMS level of the band, dB relative to full scale = 1. */
  readonly levelDb: number
}

/** 2^`log2Frames` samples, which repeat without a seam; nothing outside of the bands. */
export function bandNoise(
  bands: readonly NoiseBand[],
  log2Frames: number,
  sampleRateHz: number,
  seed: number,
): Float64Array {
  const frames = 2 ** log2Frames
  const random = createRandom(seed)
  const fft = new FFT(frames)
  const spectrum = fft.createComplexArray() as number[]
  spectrum.fill(0)
  const binHz = sampleRateHz / frames
  for (const { lowerHz, upperHz, levelDb } of bands) {
    const first = Math.ceil(lowerHz / binHz)
    const end = Math.min(frames / 2, Math.ceil(upperHz / binHz))
    // A sine of amplitude a has a mean square of a^2 / 2.
    const amplitude = Math.sqrt((2 * 10 ** (levelDb / 10)) / (end - first))
    for (let k = first; k < end; k++) {
      const phase = 2 * Math.PI * random.uniform()
      const [re, im] = [
        (amplitude * frames * Math.cos(phase)) / 2,
        (amplitude * frames * Math.sin(phase)) / 2,
      ]
      spectrum[2 * k] = re
      spectrum[2 * k + 1] = im
      spectrum[2 * (frames - k)] = re
      spectrum[2 * (frames - k) + 1] = -im
    }
  }
  const out = fft.createComplexArray() as number[]
  fft.inverseTransform(out, spectrum)
  return Float64Array.from({ length: frames }, (_, n) => out[2 * n])
}
