// The de-esser in plain TypeScript: what createDeEss, which runs on the kernels, is held against.

import { dbFromPower } from '../../../app/dsp/maths/decibels.ts'
import { createLaneDelay } from '../../../app/dsp/mix/lane-delay.ts'
import { BLOCK_FRAMES, type Stage, type StageLayout } from '../../../app/dsp/stage.ts'
import {
  designDeEss,
  KNEE_DB,
  SECTION_Q,
  SOFT_GRACE_DB,
  SPARED_PER_DB,
  UNTOUCHED_DB,
} from '../../../app/dsp/stages/de-ess-design.ts'
import type { DeEssSettings } from '../../../app/dsp/stages/settings.ts'
import { softKneeReductionDb } from '../../../app/dsp/stages/static-curves.ts'
import { createSibilanceDetector } from './de-ess-detector.ts'
import { createDynamicSection } from './dynamic-section.ts'

export function createPlainDeEss(settings: DeEssSettings, layout: StageLayout): Stage {
  const { laneChannels, sampleRateHz } = layout
  const { shape, thresholdDb, rangeDb } = settings
  const design = designDeEss(settings, sampleRateHz)
  const { latencySamples, holdFrames, attackA, releaseDb, untouchedRatio, sectionHz } = design
  const detector = createSibilanceDetector(laneChannels[0], sampleRateHz, untouchedRatio)
  const delay = createLaneDelay(laneChannels, latencySamples)
  const section = createDynamicSection(shape, sectionHz, SECTION_Q, laneChannels, sampleRateHz)
  // Reduction in dB, and frames of hold that remain.
  const state = new Float64Array(2)
  const hotness = new Float64Array(BLOCK_FRAMES)
  const control = new Float64Array(BLOCK_FRAMES)
  let reductionDb = 0

  return {
    latencySamples,
    memory: [...detector.memory, ...delay.memory, ...section.memory, state],
    get reductionDb() {
      return reductionDb
    },
    process(lanes, frames) {
      detector.run(lanes[0], control, hotness, frames)
      let reduction = state[0]
      let hold = state[1]
      let greatest = 0
      for (let i = 0; i < frames; i++) {
        const ratio = control[i]
        const softDb = Math.max(0, -dbFromPower(Math.max(hotness[i], 1e-30)) - SOFT_GRACE_DB)
        const staticDb =
          ratio > untouchedRatio
            ? Math.min(softKneeReductionDb(dbFromPower(ratio) - thresholdDb, 1, KNEE_DB), rangeDb)
            : 0
        const asked = Math.max(0, staticDb - SPARED_PER_DB * softDb)
        if (asked >= reduction) {
          reduction = attackA * reduction + (1 - attackA) * asked
          hold = holdFrames
        } else if (hold > 0) {
          hold--
        } else {
          reduction = Math.max(reduction - releaseDb, asked)
        }
        control[i] = reduction > UNTOUCHED_DB ? reduction - UNTOUCHED_DB : 0
        if (control[i] > greatest) greatest = control[i]
      }
      state[0] = reduction
      state[1] = hold
      reductionDb = greatest
      delay.process(lanes, frames)
      section.run(lanes, control, frames)
    },
  }
}
