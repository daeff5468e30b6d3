// What a stereo sound loses when it is summed to mono, overall and in each third octave, and
// how correlated its sides are over time.

import { createFrameSpectrum } from '../analysis/spectra/frame-spectrum.ts'
import { createFramer } from '../analysis/spectra/framer.ts'
import { THIRD_OCTAVES } from '../analysis/spectra/third-octaves.ts'
import { dbFromPower } from '../maths/decibels.ts'
import type { Channels } from '../stage.ts'

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
  /** @param channels two of them, finite values only @param frames up to 4096 */
  add(channels: Channels, frames: number): void
  facts(): MonoFacts
}

const POINTS = 4096
const WINDOW_SECONDS = 0.4
/** Mean square of -50 dBFS (our choice): the correlation of silence is that of its noise. */
const SILENT_POWER = 1e-5

/** @param sampleRateHz of the stereo sound */
export function createMonoCheck(sampleRateHz: number): MonoCheck {
  const spectrum = createFrameSpectrum(POINTS, sampleRateHz)
  const bandSums = { left: bandRow(), right: bandRow(), mono: bandRow() }
  const framers = { left: framer(), right: framer(), mono: framer() }
  const windowFrames = Math.round(WINDOW_SECONDS * sampleRateHz)
  const correlations: number[] = []
  const fold = new Float64Array(POINTS)
  let [left2, right2, cross] = [0, 0, 0]
  let [total, totalMono] = [0, 0]
  let filled = 0

  function listenTo(name: keyof typeof framers, samples: Float64Array, frames: number): void {
    framers[name].add(samples, frames, (frame) => {
      spectrum.measure(frame)
      const sums = bandSums[name]
      for (const [i, { lowerHz, upperHz }] of THIRD_OCTAVES.entries()) {
        sums[i] += spectrum.bandPower(lowerHz, upperHz)
      }
    })
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
        fold[n] = m
        if (++filled === windowFrames) closeWindow()
      }
      listenTo('left', left, frames)
      listenTo('right', right, frames)
      listenTo('mono', fold, frames)
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
const framer = () => createFramer(POINTS, POINTS / 2)

/** Limited to -150 dB, about the precision of a 32-bit float, where the sides cancel completely. */
const lossOf = (mono: number, both: number): number => Math.max(-150, dbFromPower(mono / both))
