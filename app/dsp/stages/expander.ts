// Downward expander for the room between phrases. The level of the leader is an RMS
// (one pole of 5 ms on the square; 0 dBFS is a full-scale sine, AES17). Below the
// threshold each dB becomes `ratio` dB, down to the range. Attack is the opening,
// release the closing; hold keeps it open after the level has fallen. The loudest
// channel of the leader decides, so that a voice on one side never shuts.

import { dbFromPower, gainFromDb } from '../decibels.ts'
import { applyGains } from '../lane-gain.ts'
import { BLOCK_FRAMES, type Stage, type StageLayout } from '../stage.ts'
import { smoothingCoefficient } from '../time-constant.ts'
import type { ExpanderSettings } from './settings.ts'

const DETECTOR_SECONDS = 0.005
/** Mean square of a full-scale sine. */
const FULL_SCALE_POWER = 0.5
/** -300 dBFS: keeps the logarithm finite and the detector out of denormal numbers. */
const SILENT_POWER = 1e-30
/** A last remainder that is let go at once: a step of -119 dB, after which the gain is exactly 1. */
const OPEN_DB = 1e-5

export function createExpander(settings: ExpanderSettings, layout: StageLayout): Stage {
  const { thresholdDbfs, ratio, rangeDb, attackMs, holdMs, releaseMs } = settings
  const leaderChannels = layout.laneChannels[0]
  const detectorA = smoothingCoefficient(DETECTOR_SECONDS, layout.sampleRateHz)
  const attackA = smoothingCoefficient(attackMs / 1000, layout.sampleRateHz)
  const releaseA = smoothingCoefficient(releaseMs / 1000, layout.sampleRateHz)
  const holdFrames = Math.round((holdMs * layout.sampleRateHz) / 1000)
  const thresholdPower = FULL_SCALE_POWER * gainFromDb(2 * thresholdDbfs)
  const slope = ratio - 1

  const powers = new Float64Array(leaderChannels)
  // Reduction in dB, and frames of hold that remain.
  const state = new Float64Array(2)
  const loudest = new Float64Array(BLOCK_FRAMES)
  const gains = new Float64Array(BLOCK_FRAMES)
  let reductionDb = 0

  return {
    latencySamples: 0,
    memory: [powers, state],
    get reductionDb() {
      return reductionDb
    },
    process(lanes, frames) {
      for (let channel = 0; channel < leaderChannels; channel++) {
        const samples = lanes[0][channel]
        let power = powers[channel]
        for (let i = 0; i < frames; i++) {
          const square = samples[i] * samples[i]
          power = square + detectorA * (power - square)
          if (power < SILENT_POWER) power = 0
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
          const under = dbFromPower(thresholdPower / (power + SILENT_POWER))
          const target = Math.min(slope * under, rangeDb)
          const a = target < reduction ? attackA : releaseA
          reduction = target + a * (reduction - target)
        }
        gains[i] = reduction === 0 ? 1 : gainFromDb(-reduction)
        if (reduction > greatest) greatest = reduction
      }
      state[0] = reduction
      state[1] = hold
      reductionDb = greatest
      if (greatest > 0) applyGains(lanes, gains, frames)
    },
  }
}
