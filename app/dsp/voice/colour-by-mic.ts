// Applies a mic's curve to a generated voice, so that its correction has a known answer. The filter is
// minimum phase, because a capsule's own response is close to that.
import { type Curve, resampleCurve } from '../correction/curve.ts'
import { gainFromDb } from '../maths/decibels.ts'
import { createRealFft, type RealFft } from '../maths/fft.ts'

/** Length of the filter: 85 ms, so that its shape is fine enough at 50 Hz. */
const TAPS_SECONDS = 0.085
/** Length of the transform relative to the filter; shorter ones would alias the cepstrum. */
const TRANSFORM_RATIO = 4
/** Share of the taps over which the tail fades. */
const FADE_SHARE = 0.25

/**
 * The sound as the mic would have captured it; same length as the input, without delay.
 * Beyond the curve's first and last points their levels apply.
 */
export function colourByMic(samples: Float32Array, curve: Curve, sampleRateHz: number): Float32Array {
  const taps = 2 ** Math.ceil(Math.log2(TAPS_SECONDS * sampleRateHz))
  const fft = createRealFft(taps * TRANSFORM_RATIO)
  return convolve(samples, minimumPhaseTaps(curve, taps, sampleRateHz, fft), fft)
}

/**
 * Impulse response of the curve with the least delay, by folding the cepstrum (Oppenheim & Schafer,
 * Discrete-Time Signal Processing, from memory; the response is measured in tests).
 */
function minimumPhaseTaps(curve: Curve, taps: number, sampleRateHz: number, fft: RealFft): Float64Array {
  const { size } = fft
  const half = size / 2
  const re = new Float64Array(half + 1)
  const im = new Float64Array(half + 1)
  // The curve's axis is logarithmic and has no 0 Hz, so bin 0 takes half a bin: below every curve's start.
  const binsHz = Array.from({ length: half + 1 }, (_, k) => (Math.max(k, 0.5) * sampleRateHz) / size)
  const { levelsDb } = resampleCurve(curve, binsHz)
  for (let k = 0; k <= half; k++) re[k] = Math.log(gainFromDb(levelsDb[k]))
  const cepstrum = new Float64Array(size)
  invert(re, im, cepstrum, fft)
  for (let n = 1; n < half; n++) {
    cepstrum[n] *= 2
    cepstrum[size - n] = 0
  }
  fft.transform(cepstrum, re, im)
  for (let k = 0; k <= half; k++) {
    const magnitude = Math.exp(re[k])
    re[k] = magnitude * Math.cos(im[k])
    im[k] = magnitude * Math.sin(im[k])
  }
  const response = new Float64Array(size)
  invert(re, im, response, fft)
  const kept = response.slice(0, taps)
  const fade = Math.floor(taps * FADE_SHARE)
  for (let i = 0; i < fade; i++) kept[taps - fade + i] *= 0.5 + 0.5 * Math.cos((Math.PI * (i + 0.5)) / fade)
  return kept
}

/** Overlap-add convolution; the blocks leave room in the transform for the filter's tail. */
function convolve(samples: Float32Array, taps: Float64Array, fft: RealFft): Float32Array {
  const { size } = fft
  const half = size / 2
  const block = size - taps.length + 1
  const tapsRe = new Float64Array(half + 1)
  const tapsIm = new Float64Array(half + 1)
  const work = new Float64Array(size)
  work.set(taps)
  fft.transform(work, tapsRe, tapsIm)
  const re = new Float64Array(half + 1)
  const im = new Float64Array(half + 1)
  const sum = new Float64Array(samples.length)
  for (let start = 0; start < samples.length; start += block) {
    const count = Math.min(block, samples.length - start)
    work.fill(0)
    for (let n = 0; n < count; n++) work[n] = samples[start + n]
    fft.transform(work, re, im)
    for (let k = 0; k <= half; k++) {
      const real = re[k] * tapsRe[k] - im[k] * tapsIm[k]
      im[k] = re[k] * tapsIm[k] + im[k] * tapsRe[k]
      re[k] = real
    }
    invert(re, im, work, fft)
    const end = Math.min(size, samples.length - start)
    for (let n = 0; n < end; n++) sum[start + n] += work[n]
  }
  return Float32Array.from(sum)
}

/**
 * Inverse of a real signal's spectrum by the forward transform: transforming re + im over all bins (the
 * Hartley form) gives the cosine and sine sums that make up the signal. `re` and `im` are overwritten.
 */
function invert(re: Float64Array, im: Float64Array, out: Float64Array, fft: RealFft): void {
  const { size } = fft
  const half = size / 2
  out[0] = re[0]
  out[half] = re[half]
  for (let k = 1; k < half; k++) {
    out[k] = re[k] + im[k]
    out[size - k] = re[k] - im[k]
  }
  fft.transform(out, re, im)
  out[0] = re[0] / size
  out[half] = re[half] / size
  for (let n = 1; n < half; n++) {
    out[n] = (re[n] + im[n]) / size
    out[size - n] = (re[n] - im[n]) / size
  }
}
