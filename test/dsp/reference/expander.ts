// The expander in plain TypeScript: what createExpander, which runs on the kernels, is held against.

import { dbFromPower, gainFromDb } from '../../../app/dsp/maths/decibels.ts'
import { createLaneDelay } from '../../../app/dsp/mix/lane-delay.ts'
import { BLOCK_FRAMES, type Stage, type StageLayout } from '../../../app/dsp/stage.ts'
import { designExpander, OPEN_DB, SILENT_POWER } from '../../../app/dsp/stages/expander-design.ts'
import type { ExpanderSettings } from '../../../app/dsp/stages/settings.ts'
import { applyGains } from './lane-gain.ts'
import { createSideChainFilter } from './side-chain-filter.ts'

export function createPlainExpander(settings: ExpanderSettings, layout: StageLayout): Stage {
  const leaderChannels = layout.laneChannels[0]
  const design = designExpander(settings, layout.sampleRateHz)
  const sideChain = createSideChainFilter(design.highPass, leaderChannels)
  const delay = createLaneDelay(layout.laneChannels, design.lookAhead)
  const heard = new Float64Array(BLOCK_FRAMES)
  const { detectorA, attackA, releaseA, holdFrames, thresholdPower, slope } = design

  const powers = new Float64Array(leaderChannels).fill(SILENT_POWER)
  // Reduction in dB, and frames of hold that remain.
  const state = new Float64Array(2)
  const loudest = new Float64Array(BLOCK_FRAMES)
  const gains = new Float64Array(BLOCK_FRAMES)
  let reductionDb = 0

  return {
    latencySamples: design.lookAhead,
    memory: [sideChain.memory, powers, state, ...delay.memory],
    get reductionDb() {
      return reductionDb
    },
    process(lanes, frames) {
      for (let channel = 0; channel < leaderChannels; channel++) {
        for (let i = 0; i < frames; i++) heard[i] = lanes[0][channel][i]
        sideChain.run(channel, heard, frames)
        let power = powers[channel]
        for (let i = 0; i < frames; i++) {
          const square = heard[i] * heard[i] + SILENT_POWER
          power = detectorA * power + (1 - detectorA) * square
          if (channel === 0 || power > loudest[i]) loudest[i] = power
        }
        powers[channel] = power
      }

      let reduction = state[0]
      let hold = state[1]
      let greatest = 0
      for (let i = 0; i < frames; i++) {
        const power = loudest[i]
        if (power >= thresholdPower) {
          hold = holdFrames
          reduction = reduction > OPEN_DB ? attackA * reduction : 0
        } else if (hold > 0) {
          hold--
          reduction = reduction > OPEN_DB ? attackA * reduction : 0
        } else {
          const under = dbFromPower(thresholdPower / power)
          const target = Math.min(slope * under, settings.rangeDb)
          const a = target < reduction ? attackA : releaseA
          reduction = a * reduction + (1 - a) * target
        }
        gains[i] = reduction === 0 ? 1 : gainFromDb(-reduction)
        if (reduction > greatest) greatest = reduction
      }
      state[0] = reduction
      state[1] = hold
      reductionDb = greatest
      delay.process(lanes, frames)
      if (greatest > 0) applyGains(lanes, gains, frames)
    },
  }
}
