// What a stereo sound loses when it is summed to mono, overall and in each third octave, and
// how correlated its sides are over time.

import { sumBelow } from '../analysis/spectra/frame-spectrum.ts'
import { THIRD_OCTAVES } from '../analysis/spectra/third-octaves.ts'
import { dbFromPower } from '../maths/decibels.ts'
import type { Channels } from '../stage.ts'
import { twoSpectraOf } from '../wasm/two-spectra.ts'

interface MonoBand {
  readonly nominalHz: number
  /**
   * Power of (left + right) / sqrt 2 over that of both sides: 0 dB for identical sides, -3.0 dB for
   * uncorrelated ones, less where they cancel.
   */
  readonly lossDb: number
  /** Share of the power of both sides over all bands. */
  readonly sharePercent: number
}

/** null: silent throughout. */
export interface MonoFacts {
  readonly lossDb: number | null
  /** From 50 Hz to 16 kHz; silent bands are left out. */
  readonly bands: readonly MonoBand[]
  /** 5th percentile of the correlation, -1 to 1, over windows of 400 ms that are not silent. */
  readonly correlationP5: number | null
  /** Share of those windows with negative correlation. */
  readonly opposedPercent: number | null
}

interface MonoCheck {
  /** @param channels two of them, finite values only */
  add(channels: Channels, frames: number): void
  facts(): MonoFacts
}

const POINTS = 4096
const HOP = POINTS / 2
/** Of the mean square of a Hann window, 3/8, with both halves of the spectrum. */
const SCALE = 2 / (POINTS * POINTS * 0.375)
const WINDOW_SECONDS = 0.4
/** Mean square of -50 dBFS (our choice): the correlation of silence is that of its noise. */
const SILENT_POWER = 1e-5

/** @param sampleRateHz of the stereo sound */
export function createMonoCheck(sampleRateHz: number): MonoCheck {
  const spectra = twoSpectraOf(POINTS, 'hann')
  const { re, im, squares } = spectra
  const held = { left: new Float64Array(POINTS), right: new Float64Array(POINTS) }
  /** Running sums over the bins of a frame; the power of a band is a difference of two. */
  const below = { left: binRow(), right: binRow(), mono: binRow() }
  const bandSums = { left: bandRow(), right: bandRow(), mono: bandRow() }
  const binHz = sampleRateHz / POINTS
  const windowFrames = Math.round(WINDOW_SECONDS * sampleRateHz)
  const correlations: number[] = []
  let [left2, right2, cross] = [0, 0, 0]
  let [total, totalMono] = [0, 0]
  let filled = 0
  let heldFrames = 0

  /** Both sides at once; the transform of their sum is the sum of their transforms. */
  function takeFrame(): void {
    spectra.measure(held.left, 0, held.right, 0)
    let [left, right, mono] = [0, 0, 0]
    for (let k = 0; k <= HOP; k++) {
      below.left[k] = left
      below.right[k] = right
      below.mono[k] = mono
      const scale = k === 0 || k === HOP ? SCALE / 2 : SCALE
      const monoRe = re[2 * k] + re[2 * k + 1]
      const monoIm = im[2 * k] + im[2 * k + 1]
      left += squares[2 * k] * scale
      right += squares[2 * k + 1] * scale
      mono += (monoRe * monoRe + monoIm * monoIm) * (scale / 2)
    }
    below.left[HOP + 1] = left
    below.right[HOP + 1] = right
    below.mono[HOP + 1] = mono
    for (const [i, { lowerHz, upperHz }] of THIRD_OCTAVES.entries()) {
      for (const side of SIDES)
        bandSums[side][i] += sumBelow(below[side], upperHz / binHz) - sumBelow(below[side], lowerHz / binHz)
    }
  }

  function hold(left: Float64Array, right: Float64Array, frames: number): void {
    for (let read = 0; read < frames; ) {
      const count = Math.min(frames - read, POINTS - heldFrames)
      held.left.set(left.subarray(read, read + count), heldFrames)
      held.right.set(right.subarray(read, read + count), heldFrames)
      read += count
      heldFrames += count
      if (heldFrames < POINTS) return
      takeFrame()
      held.left.copyWithin(0, HOP)
      held.right.copyWithin(0, HOP)
      heldFrames = HOP
    }
  }

  function closeWindow(): void {
    const power = (left2 + right2) / windowFrames
    if (power > SILENT_POWER && left2 > 0 && right2 > 0) correlations.push(cross / Math.sqrt(left2 * right2))
    left2 = 0
    right2 = 0
    cross = 0
    filled = 0
  }

  return {
    add([left, right], frames) {
      for (let n = 0; n < frames; n++) {
        const [l, r] = [left[n], right[n]]
        const m = (l + r) * Math.SQRT1_2
        left2 += l * l
        right2 += r * r
        cross += l * r
        total += l * l + r * r
        totalMono += m * m
        if (++filled === windowFrames) closeWindow()
      }
      hold(left, right, frames)
    },
    facts() {
      const both = bandSums.left.map((power, i) => power + bandSums.right[i])
      const all = both.reduce((sum, power) => sum + power, 0)
      const sorted = correlations.toSorted((a, b) => a - b)
      const opposed = sorted.filter((one) => one < 0).length
      return {
        lossDb: total > 0 ? lossOf(totalMono, total) : null,
        bands: THIRD_OCTAVES.flatMap(({ nominalHz }, i) =>
          both[i] > 0
            ? [
                {
                  nominalHz,
                  lossDb: lossOf(bandSums.mono[i], both[i]),
                  sharePercent: (100 * both[i]) / all,
                },
              ]
            : [],
        ),
        correlationP5: sorted.length === 0 ? null : sorted[Math.floor(0.05 * sorted.length)],
        opposedPercent: sorted.length === 0 ? null : (100 * opposed) / sorted.length,
      }
    },
  }
}

const bandRow = (): Float64Array => new Float64Array(THIRD_OCTAVES.length)
const binRow = (): Float64Array => new Float64Array(HOP + 2)
const SIDES = ['left', 'right', 'mono'] as const

/** Limited to -150 dB, about the precision of a 32-bit float, where the sides cancel completely. */
const lossOf = (mono: number, both: number): number => Math.max(-150, dbFromPower(mono / both))
