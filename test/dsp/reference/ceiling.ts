// The ceiling in plain TypeScript: what createCeiling, which runs on the kernels, is held against.

import { dbFromGain } from '../../../app/dsp/maths/decibels.ts'
import { truePeakOversampling } from '../../../app/dsp/meters/true-peak.ts'
import { createLaneDelay } from '../../../app/dsp/mix/lane-delay.ts'
import { BLOCK_FRAMES, type Stage, type StageLayout } from '../../../app/dsp/stage.ts'
import { designCeiling } from '../../../app/dsp/stages/ceiling-design.ts'
import type { CeilingSettings } from '../../../app/dsp/stages/settings.ts'
import { createBoxSmoother } from './box-smoother.ts'
import { createIntervalPeaks } from './interval-peaks.ts'
import { applyGains } from './lane-gain.ts'
import { createSlidingMaximum } from './sliding-maximum.ts'

/** A last remainder that is let go at once, -120 dB; the mean still smooths the step. */
const RELEASED = 1e-6

export function createPlainCeiling(settings: CeilingSettings, layout: StageLayout): Stage {
  const { laneChannels, sampleRateHz } = layout
  const { ceiling, lookAhead, latencySamples, releaseA } = designCeiling(settings, sampleRateHz)
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
