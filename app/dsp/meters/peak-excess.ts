// How far inter-sample peaks exceed a limit: the second check of a bounce against its ceiling.
// It finds peaks that the true-peak meter's 48 taps miss, close to half the sample rate, which
// full-scale noise and square waves have. Stretches that provably stay under the limit are not
// interpolated, so a voice costs a few comparisons per sample.

import type { Channels } from '../stage.ts'
import { copyIn, copyOut, createWorkRows, kernels, viewOf } from '../wasm/kernels.ts'
import { rowAt } from '../wasm/row.ts'
import { createFineInterpolator, GROUP_FRAMES, GROUPS_AROUND } from './fine-interpolator.ts'

const ROUND_GROUPS = 64
const WORK_GROUPS = ROUND_GROUPS + 2 * GROUPS_AROUND
const WORK_FRAMES = WORK_GROUPS * GROUP_FRAMES
const FIRST_FILLED = GROUPS_AROUND * GROUP_FRAMES
const rows = createWorkRows()
// One double before the first sample and one behind the last, for the second differences at both ends.
const surveyed = rowAt(rows.row(WORK_FRAMES + 2), 2)
const before = viewOf(rowAt(surveyed, -1), 1)
const behind = viewOf(rowAt(surveyed, WORK_FRAMES), 1)
const surveyedGroups = rows.row(WORK_GROUPS)

/** Room for rounding: a bound that is too tight by one bit could hide a peak. */
const MARGIN = 1 + 1e-9

interface PeakExcessMeter {
  /** @param frames how many frames of every channel to take, finite values only */
  add(channels: Channels, frames: number): void
  /**
   * Greatest peak, samples included, or the limit when no peak is above it, with silence
   * before and after; nothing can be added afterwards.
   */
  finish(): number
}

/** @param limit linear, full scale = 1, more than 0 */
export function createPeakExcessMeter(channels: number, limit: number): PeakExcessMeter {
  const interpolator = createFineInterpolator()
  const lanes = Array.from({ length: channels }, () => ({
    // Silence before the first sample.
    samples: new Float64Array(WORK_FRAMES),
    middles: new Float64Array(WORK_FRAMES).fill(Number.NaN),
  }))
  const groupPeaks = new Float64Array(WORK_GROUPS)
  const groupBends = new Float64Array(WORK_GROUPS)
  /** How much second differences of 1 everywhere can add. */
  const reach = interpolator.bound(groupBends.fill(1), GROUPS_AROUND)
  let filled = FIRST_FILLED
  let greatest = limit

  /** Measures every group's peak and second differences; false when none can exceed `greatest`. */
  function survey(samples: Float64Array): boolean {
    copyIn(samples, surveyed, WORK_FRAMES)
    kernels.writeGroupPeaks(surveyed, WORK_GROUPS, GROUP_FRAMES, surveyedGroups)
    copyOut(surveyedGroups, groupPeaks, WORK_GROUPS)
    let most = 0
    for (let g = 0; g < WORK_GROUPS; g++) if (groupPeaks[g] > most) most = groupPeaks[g]
    // No second difference is more than four times the greatest magnitude.
    if (most * (1 + 4 * reach) * MARGIN <= greatest) return false
    // The outermost samples have a neighbour on one side only; no result depends on them.
    before[0] = samples[0]
    behind[0] = samples[WORK_FRAMES - 1]
    kernels.writeGroupBends(surveyed, WORK_GROUPS, GROUP_FRAMES, surveyedGroups)
    copyOut(surveyedGroups, groupBends, WORK_GROUPS)
    return true
  }

  function look(samples: Float64Array, middles: Float64Array): void {
    const mayPass = survey(samples)
    for (let g = GROUPS_AROUND; mayPass && g < GROUPS_AROUND + ROUND_GROUPS; g++) {
      const candidate = greatest / MARGIN - interpolator.bound(groupBends, g)
      if (groupPeaks[g] <= candidate && groupPeaks[g + 1] <= candidate) continue
      const start = g * GROUP_FRAMES
      for (let n = start; n < start + GROUP_FRAMES; n++) {
        if (Math.abs(samples[n]) <= candidate && Math.abs(samples[n + 1]) <= candidate) continue
        const peak = interpolator.intervalPeak(samples, middles, n)
        if (peak > greatest) greatest = peak
      }
    }
    samples.copyWithin(0, ROUND_GROUPS * GROUP_FRAMES)
    middles.copyWithin(0, ROUND_GROUPS * GROUP_FRAMES)
    middles.fill(Number.NaN, 2 * FIRST_FILLED)
  }

  const add = (channels: Channels, frames: number): void => {
    let read = 0
    while (read < frames) {
      const count = Math.min(frames - read, WORK_FRAMES - filled)
      for (let c = 0; c < lanes.length; c++) {
        const { samples } = lanes[c]
        samples.set(channels[c].subarray(read, read + count), filled)
      }
      read += count
      filled += count
      if (filled < WORK_FRAMES) continue
      for (let c = 0; c < lanes.length; c++) look(lanes[c].samples, lanes[c].middles)
      filled = 2 * FIRST_FILLED
    }
  }

  return {
    add,
    finish() {
      const silence = new Float64Array(WORK_FRAMES)
      // Two rounds: the samples not examined yet, and the interpolator's ringing after them.
      add(
        lanes.map(() => silence),
        WORK_FRAMES,
      )
      add(
        lanes.map(() => silence),
        WORK_FRAMES,
      )
      return greatest
    },
  }
}
