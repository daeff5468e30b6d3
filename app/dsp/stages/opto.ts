// Optical-style levelling, feed-forward and in decibels: level of the leader, soft
// knee, two cells with a memory (opto-cells.ts), gain. The level is the RMS of what a
// 100 Hz high-pass lets through, and 0 dBFS is a full-scale sine (AES17), so a steady
// tone reads its peak level. Over several channels the loudest counts.
//
// The detector's time is a quarter of the attack and at most 5 ms, and what it adds is
// taken off the fast cell, so that the attack time is that of the whole: 63.2 % of the
// reduction for a tone that starts 12 dB over the threshold.

import { ANALYTIC_STATE_LENGTH, createAnalyticPower } from '../analytic-power.ts'
import { dbFromPower, gainFromDb } from '../decibels.ts'
import { applyGains } from '../lane-gain.ts'
import { butterworthQs } from '../sections/prototypes.ts'
import { createSideChainFilter, sideChainHighPass } from '../side-chain-filter.ts'
import { softKneeReductionDb } from '../soft-knee.ts'
import { BLOCK_FRAMES, type Stage, type StageLayout } from '../stage.ts'
import { smoothingCoefficient } from '../time-constant.ts'
import { createOptoCells } from './opto-cells.ts'
import type { OptoSettings } from './settings.ts'

const SIDE_CHAIN_HZ = 100
const LONGEST_DETECTOR_SECONDS = 0.005
const DETECTOR_SHARE_OF_ATTACK = 0.25
/** How much of the detector's time constant a tone 12 dB over the threshold spends in it. */
const DETECTOR_LAG = 0.67
/** What the all-pass branches of the squared envelope take at 1 kHz. */
const QUADRATURE_SECONDS = 0.0003
const SILENT_POWER = 1e-30

export function createOpto(settings: OptoSettings, layout: StageLayout): Stage {
  const { thresholdDbfs, ratio, kneeDb, makeUpDb } = settings
  const { sampleRateHz, laneChannels } = layout
  const leaderChannels = laneChannels[0]
  const attackSeconds = settings.attackMs / 1000
  const detectorSeconds = Math.min(LONGEST_DETECTOR_SECONDS, DETECTOR_SHARE_OF_ATTACK * attackSeconds)
  const detectorA = smoothingCoefficient(detectorSeconds, sampleRateHz)
  const slope = 1 - 1 / ratio
  /** Squared amplitude under which the static curve takes nothing. */
  const untouchedPower = gainFromDb(2 * (thresholdDbfs - kneeDb / 2))
  const makeUpGain = gainFromDb(makeUpDb)

  const sideChain = createSideChainFilter(
    sideChainHighPass(SIDE_CHAIN_HZ, butterworthQs(12), sampleRateHz),
    leaderChannels,
  )
  const analytic = createAnalyticPower(sampleRateHz)
  const analyticStates = Array.from({ length: leaderChannels }, () => new Float64Array(ANALYTIC_STATE_LENGTH))
  const powers = new Float64Array(leaderChannels)
  const cells = createOptoCells(
    attackSeconds - DETECTOR_LAG * detectorSeconds - QUADRATURE_SECONDS,
    settings.releaseMs / 1000,
    settings.recoverySeconds,
    sampleRateHz,
  )
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
          power = heard[i] + detectorA * (power - heard[i])
          if (power < SILENT_POWER) power = 0
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
