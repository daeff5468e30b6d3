// Mean coherence of pairs of layers in one stretch, a quick look for which pairs can be copies of one another before
// their delay is searched: near 1 for copies up to 15 ms apart, below 0.1 for unrelated takes of a line.

import { pointsAtRate } from '../maths/points-at-rate.ts'
import { twoSpectraOf } from '../wasm/two-spectra.ts'

const POINTS_AT_48K = 4096
const FROM_HZ = 200
const TO_HZ = 5000

/** Mean coherence of two layers over 200 Hz to 5 kHz, 0 to 1. */
export type CoherenceOf = (one: number, other: number) => number

/** @param clips one for each layer, of one length; null where it is silent */
export function createCoherence(clips: readonly (Float32Array | null)[], sampleRateHz: number): CoherenceOf {
  const points = pointsAtRate(POINTS_AT_48K, sampleRateHz)
  const hop = points / 4
  const spectra = twoSpectraOf(points, 'hann')
  const { re, im } = spectra
  const first = Math.round((FROM_HZ * points) / sampleRateHz)
  const bins = Math.round((TO_HZ * points) / sampleRateHz) - first
  const length = clips.reduce((longest, clip) => Math.max(longest, clip?.length ?? 0), 0)
  const frames = Math.max(0, Math.floor((length - points) / hop) + 1)
  const pairFrames = [new Float64Array(points), new Float64Array(points)]
  /** By frame, then real and imaginary part of each bin. */
  const parts = clips.map(() => new Float64Array(2 * bins * frames))
  const heard = clips.flatMap((clip, k) => (clip === null ? [] : [k]))
  for (let i = 0; i < heard.length; i += 2) {
    const pair = heard.slice(i, i + 2)
    for (let t = 0; t < frames; t++) {
      for (const [side, k] of pair.entries())
        pairFrames[side].set(clips[k]!.subarray(t * hop, t * hop + points))
      spectra.measure(pairFrames[0], 0, pairFrames[1], 0)
      for (const [side, k] of pair.entries()) keepParts(parts[k], t, side)
    }
  }
  function keepParts(into: Float64Array, t: number, side: number): void {
    for (let b = 0; b < bins; b++) {
      into[2 * (t * bins + b)] = re[2 * (first + b) + side]
      into[2 * (t * bins + b) + 1] = im[2 * (first + b) + side]
    }
  }
  const powers = parts.map((part) => {
    const sums = new Float64Array(bins)
    for (let t = 0; t < frames; t++) {
      for (let b = 0; b < bins; b++) {
        const at = 2 * (t * bins + b)
        sums[b] += part[at] * part[at] + part[at + 1] * part[at + 1]
      }
    }
    return sums
  })
  const crossRe = new Float64Array(bins)
  const crossIm = new Float64Array(bins)

  return (one, other) => {
    const x = parts[one]
    const y = parts[other]
    crossRe.fill(0)
    crossIm.fill(0)
    for (let t = 0; t < frames; t++) {
      for (let b = 0; b < bins; b++) {
        const at = 2 * (t * bins + b)
        crossRe[b] += x[at] * y[at] + x[at + 1] * y[at + 1]
        crossIm[b] += x[at + 1] * y[at] - x[at] * y[at + 1]
      }
    }
    let sum = 0
    for (let b = 0; b < bins; b++) {
      const both = powers[one][b] * powers[other][b]
      if (both > 0) sum += (crossRe[b] * crossRe[b] + crossIm[b] * crossIm[b]) / both
    }
    return bins > 0 ? sum / bins : 0
  }
}
