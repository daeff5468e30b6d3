// Energy of a third octave by the transform of another library (fft.js) over the whole sound, without windows.

import FFT from 'fft.js'
import { THIRD_OCTAVES, thirdOctaveAt } from '../../app/dsp/analysis/spectra/third-octaves.ts'

const made = new Map<number, FFT>()

/** The tables of a long transform take longer than the transform. */
function fftOf(points: number): FFT {
  const fft = made.get(points) ?? new FFT(points)
  made.set(points, fft)
  return fft
}

/** Sum of squared magnitudes in the band of this nominal frequency; only ratios mean something. */
export function bandEnergy(samples: Float64Array, sampleRateHz: number, nominalHz: number): number {
  const points = 2 ** Math.ceil(Math.log2(samples.length))
  const padded = new Float64Array(points)
  padded.set(samples)
  const fft = fftOf(points)
  const bins = fft.createComplexArray()
  fft.realTransform(bins, padded)
  const { lowerHz, upperHz } = THIRD_OCTAVES[thirdOctaveAt(nominalHz)]
  let sum = 0
  const binHz = sampleRateHz / points
  for (let k = Math.ceil(lowerHz / binHz); k <= upperHz / binHz; k++)
    sum += bins[2 * k] ** 2 + bins[2 * k + 1] ** 2
  return sum
}
