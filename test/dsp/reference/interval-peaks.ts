// The peak of every interval between two samples as it comes, samples included, as far
// as it matters to someone who only asks about peaks above a limit. Stretches that
// provably stay below the limit are not interpolated, so a quiet voice costs little.

import { createInterpolator, GROUP_FRAMES } from '../../../app/dsp/meters/true-peak-interpolator.ts'

const HISTORY = 2 * GROUP_FRAMES - 1

export interface IntervalPeaks {
  readonly memory: Float64Array
  /**
   * Writes at i the peak from sample i - GROUP_FRAMES up to the next one, where that is
   * above the limit; elsewhere anything at or below the limit.
   * @param isFirst whether to write; if not, peaks are only raised
   */
  run(samples: Float64Array, peaks: Float64Array, frames: number, isFirst: boolean): void
}

/** @param factor points looked at per sample, 2 or more */
export function createIntervalPeaks(factor: number, limit: number, mostFrames: number): IntervalPeaks {
  const interpolator = createInterpolator(factor)
  const memory = new Float64Array(HISTORY)
  const work = new Float64Array(HISTORY + mostFrames)

  /** Greatest magnitude, and greatest second difference, under the taps of the intervals from `from` up to `to`. */
  function canExceed(from: number, to: number): boolean {
    const first = from
    const last = to - 1 + HISTORY
    let wide = 0
    let near = 0
    let bend = 0
    for (let i = first; i <= last; i++) {
      const magnitude = Math.abs(work[i])
      if (magnitude > wide) wide = magnitude
      if (i >= from + GROUP_FRAMES - 1 && i <= to + GROUP_FRAMES - 1 && magnitude > near) near = magnitude
      if (i > first && i < last) {
        const second = Math.abs(work[i - 1] - 2 * work[i] + work[i + 1])
        if (second > bend) bend = second
      }
    }
    if (wide * interpolator.peakFactor <= limit) return false
    return near > limit || near * interpolator.nearFactor + bend * interpolator.bendFactor > limit
  }

  return {
    memory,
    run(samples, peaks, frames, isFirst) {
      for (let i = 0; i < HISTORY; i++) work[i] = memory[i]
      for (let i = 0; i < frames; i++) work[HISTORY + i] = samples[i]
      for (let from = 0; from < frames; from += GROUP_FRAMES) {
        const to = Math.min(from + GROUP_FRAMES, frames)
        if (isFirst) for (let i = from; i < to; i++) peaks[i] = 0
        if (!canExceed(from, to)) continue
        for (let i = from; i < to; i++) {
          const peak = interpolator.intervalPeak(work, i + GROUP_FRAMES - 1)
          if (peak > peaks[i]) peaks[i] = peak
        }
      }
      for (let i = 0; i < HISTORY; i++) memory[i] = work[frames + i]
    },
  }
}
