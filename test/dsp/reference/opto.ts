// The opto in plain TypeScript: what createOpto, which runs on the kernels, is held against.

import { dbFromPower, gainFromDb } from '../../../app/dsp/maths/decibels.ts'
import { BLOCK_FRAMES, type Stage, type StageLayout } from '../../../app/dsp/stage.ts'
import { designOpto } from '../../../app/dsp/stages/opto-design.ts'
import type { OptoSettings } from '../../../app/dsp/stages/settings.ts'
import { softKneeReductionDb } from '../../../app/dsp/stages/static-curves.ts'
import { ANALYTIC_STATE_LENGTH, createAnalyticPower } from './analytic-power.ts'
import { applyGains } from './lane-gain.ts'
import { createOptoCells } from './opto-cells.ts'
import { createSideChainFilter } from './side-chain-filter.ts'

const SILENT_POWER = 1e-30

export function createPlainOpto(settings: OptoSettings, layout: StageLayout): Stage {
  const { thresholdDbfs, kneeDb, makeUpDb } = settings
  const { sampleRateHz, laneChannels } = layout
  const leaderChannels = laneChannels[0]
  const design = designOpto(settings, sampleRateHz)
  const { highPass, detectorA, slope, untouchedPower, makeUpGain } = design
  const sideChain = createSideChainFilter(highPass, leaderChannels)
  const analytic = createAnalyticPower(sampleRateHz)
  const analyticStates = Array.from({ length: leaderChannels }, () => new Float64Array(ANALYTIC_STATE_LENGTH))
  const powers = new Float64Array(leaderChannels)
  const cells = createOptoCells(design.cells)
  const heard = new Float64Array(BLOCK_FRAMES)
  const spare = new Float64Array(BLOCK_FRAMES)
  const loudest = new Float64Array(BLOCK_FRAMES)
  const control = new Float64Array(BLOCK_FRAMES)
  let reductionDb = 0

  return {
    latencySamples: 0,
    memory: [sideChain.memory, ...analyticStates, powers, cells.memory],
    get reductionDb() {
      return reductionDb
    },
    process(lanes, frames) {
      for (let channel = 0; channel < leaderChannels; channel++) {
        const samples = lanes[0][channel]
        for (let i = 0; i < frames; i++) heard[i] = samples[i]
        sideChain.run(channel, heard, frames)
        analytic.run(heard, spare, analyticStates[channel], frames)
        let power = powers[channel]
        for (let i = 0; i < frames; i++) {
          power = detectorA * power + (1 - detectorA) * (heard[i] + SILENT_POWER)
          if (channel === 0 || power > loudest[i]) loudest[i] = power
        }
        powers[channel] = power
      }

      for (let i = 0; i < frames; i++) {
        const power = loudest[i]
        control[i] =
          power > untouchedPower ? softKneeReductionDb(dbFromPower(power) - thresholdDbfs, slope, kneeDb) : 0
      }
      reductionDb = cells.run(control, frames)
      if (reductionDb === 0 && makeUpDb === 0) return
      for (let i = 0; i < frames; i++) {
        control[i] = control[i] === 0 ? makeUpGain : gainFromDb(makeUpDb - control[i])
      }
      applyGains(lanes, control, frames)
    },
  }
}
