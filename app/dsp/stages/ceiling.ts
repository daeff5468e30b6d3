// True-peak limiter with look-ahead. No sample of the leader ever leaves above the
// ceiling; below it nothing is touched, bit for bit.
//
// With c the ceiling, p[n] the leader's greatest peak in the intervals on either side of
// sample n, and W the look-ahead:
//   d[n] = max(0, 1 - c / p[n])                    what must be taken off at n
//   m[n] = max of d over the last W samples        held that long
//   s[n] = m[n] if that is more, else s[n-1] falling toward m[n]      so s >= m
//   gain[n] = 1 - (weighted mean of the last W of s), weights 0 or more
//   y[n] = x[n - (W - 1)] gain[n]
// Proof: each of the W values of s that make gain[n] is at least its m, and the window
// of each of those m holds sample n - (W - 1). So each is at least d[n - (W - 1)], and
// so is their mean: gain[n] <= c / p[n - (W - 1)] and |y[n]| <= c. (Smoothing with
// weights below 0, or by recursion, would break this.) Rounding, one part in 2^52, is
// clamped. c lies 2^-23 under the setting, so that 32-bit floats keep to it too.
// The peak between samples after the gain is not proven, only near: the gain moves
// between them. Tests say by how much.

import { createBoxSmoother } from '../box-smoother.ts'
import { dbFromGain, gainFromDb } from '../decibels.ts'
import { createIntervalPeaks, INTERVAL_LATENCY } from '../interval-peaks.ts'
import { createLaneDelay } from '../lane-delay.ts'
import { applyGains } from '../lane-gain.ts'
import { createSlidingMaximum } from '../sliding-maximum.ts'
import { BLOCK_FRAMES, type Stage, type StageLayout } from '../stage.ts'
import { smoothingCoefficient } from '../time-constant.ts'
import { truePeakOversampling } from '../true-peak.ts'
import type { CeilingSettings } from './settings.ts'

const SINGLE_PRECISION_MARGIN = 2 ** -23
/** A last remainder that is let go at once, -120 dB; the mean still smooths the step. */
const RELEASED = 1e-6

export function createCeiling(settings: CeilingSettings, layout: StageLayout): Stage {
  const { laneChannels, sampleRateHz } = layout
  const ceiling = gainFromDb(settings.ceilingDbtp) * (1 - SINGLE_PRECISION_MARGIN)
  const lookAhead = Math.max(1, Math.round((settings.lookAheadMs * sampleRateHz) / 1000))
  const latencySamples = lookAhead - 1 + INTERVAL_LATENCY
  const releaseA = smoothingCoefficient(settings.releaseMs / 1000, sampleRateHz)

  const detectors = Array.from({ length: laneChannels[0] }, () =>
    createIntervalPeaks(truePeakOversampling(sampleRateHz), ceiling, BLOCK_FRAMES),
  )
  // An interval touches two samples, so a window over intervals is one longer.
  const held = createSlidingMaximum(lookAhead + 1)
  const smoother = createBoxSmoother(lookAhead)
  const delay = createLaneDelay(laneChannels, latencySamples)
  const release = new Float64Array(1)
  const control = new Float64Array(BLOCK_FRAMES)
  let reductionDb = 0

  return {
    latencySamples,
    memory: [
      ...detectors.map((detector) => detector.memory),
      ...held.memory,
      ...smoother.memory,
      ...delay.memory,
      release,
    ],
    get reductionDb() {
      return reductionDb
    },
    process(lanes, frames) {
      const leader = lanes[0]
      for (let channel = 0; channel < detectors.length; channel++) {
        detectors[channel].run(leader[channel], control, frames, channel === 0)
      }
      for (let i = 0; i < frames; i++) control[i] = control[i] > ceiling ? 1 - ceiling / control[i] : 0
      held.run(control, frames)
      let released = release[0]
      for (let i = 0; i < frames; i++) {
        const need = control[i]
        released = need > released ? need : need + releaseA * (released - need)
        if (released < RELEASED) released = need
        control[i] = released
      }
      release[0] = released
      smoother.run(control, frames)

      let greatest = 0
      for (let i = 0; i < frames; i++) {
        if (control[i] > greatest) greatest = control[i]
        control[i] = 1 - control[i]
      }
      reductionDb = greatest === 0 ? 0 : -dbFromGain(1 - greatest)
      delay.process(lanes, frames)
      if (greatest === 0) return
      applyGains(lanes, control, frames)
      for (let channel = 0; channel < leader.length; channel++) {
        const samples = leader[channel]
        for (let i = 0; i < frames; i++) {
          if (samples[i] > ceiling) samples[i] = ceiling
          else if (samples[i] < -ceiling) samples[i] = -ceiling
        }
      }
    },
  }
}
