// Spectra of signals, by fft.js and by plain sums, for measuring what filters and
// converters do. Nothing here comes from the program.

import FFT from 'fft.js'

/** Level in dB of a finite response at one frequency, by its definition. */
export function responseLevelDb(response: Float64Array, frequencyHz: number, sampleRateHz: number): number {
  const step = (2 * Math.PI * frequencyHz) / sampleRateHz
  let real = 0
  let imaginary = 0
  for (let n = 0; n < response.length; n++) {
    real += response[n] * Math.cos(step * n)
    imaginary -= response[n] * Math.sin(step * n)
  }
  return 10 * Math.log10(real * real + imaginary * imaginary)
}

export interface Spectrum {
  /** Amplitude of a sine in each bin, from 0 to half the sample rate. */
  readonly amplitudes: Float64Array
  readonly binHz: number
}

/** Half the width of the window's main lobe in bins: beyond it a sine is below -150 dB. */
export const LOBE_BINS = 9

/** Amplitudes of the first 2^n samples under a Kaiser window (beta 26, side lobes below -150 dB). */
export function spectrumOf(samples: Float64Array, sampleRateHz: number): Spectrum {
  const size = 2 ** Math.floor(Math.log2(samples.length))
  const fft = new FFT(size)
  const windowed = new Array<number>(size)
  let sum = 0
  for (let n = 0; n < size; n++) {
    const place = (2 * n) / size - 1
    const weight = besselI0(26 * Math.sqrt(1 - place * place))
    windowed[n] = weight * samples[n]
    sum += weight
  }
  const bins = fft.createComplexArray() as number[]
  fft.realTransform(bins, windowed)
  const amplitudes = Float64Array.from(
    { length: size / 2 + 1 },
    (_, bin) => (2 * Math.hypot(bins[2 * bin], bins[2 * bin + 1])) / sum,
  )
  return { amplitudes, binHz: sampleRateHz / size }
}

/** Level in dB of the greatest bin, apart from those within a window's lobe of `exceptHz`. */
export function greatestLevelDb({ amplitudes, binHz }: Spectrum, exceptHz: readonly number[] = []): number {
  let greatest = 0
  for (let bin = 0; bin < amplitudes.length; bin++) {
    if (exceptHz.some((hz) => Math.abs(hz / binHz - bin) <= LOBE_BINS)) continue
    greatest = Math.max(greatest, amplitudes[bin])
  }
  return 20 * Math.log10(greatest)
}

/** Amplitude of a sine of known frequency in the middle half of a signal, by least squares. */
export function sineAmplitude(samples: Float64Array, frequencyHz: number, sampleRateHz: number): number {
  const from = samples.length >> 2
  const to = samples.length - from
  const step = (2 * Math.PI * frequencyHz) / sampleRateHz
  let cc = 0
  let ss = 0
  let cs = 0
  let cx = 0
  let sx = 0
  for (let n = from; n < to; n++) {
    const c = Math.cos(step * n)
    const s = Math.sin(step * n)
    cc += c * c
    ss += s * s
    cs += c * s
    cx += c * samples[n]
    sx += s * samples[n]
  }
  const determinant = cc * ss - cs * cs
  return Math.hypot((cx * ss - sx * cs) / determinant, (sx * cc - cx * cs) / determinant)
}

function besselI0(x: number): number {
  let term = 1
  let sum = 1
  for (let k = 1; term > sum * 1e-17; k++) {
    term *= (x / 2 / k) ** 2
    sum += term
  }
  return sum
}
