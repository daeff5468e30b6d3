// Holds sibilance down: a high shelf or bell that dips while the sibilant band
// outweighs the voice in the same moment (de-ess-detector.ts).
//
// Over the threshold each dB of the ratio takes one dB off, with a knee of 4 dB, up to
// the range. The reduction moves in dB: 1.5 ms down, 5 ms held, then back by the whole
// range in 60 ms, while the sound waits 4 ms so that the dip is there when the s is.
// The last hundredth of a dB is left out, so that between sibilants the output is the
// input, bit for bit.
//
// The range is what comes off the sibilant band, so a shelf has its midpoint (half its
// dB, W3C Audio EQ Cookbook) half an octave under its frequency, and from the frequency
// up takes nearly all. A bell has Q 1/sqrt(2) and takes all of it at its frequency.

import { dbFromPower, gainFromDb } from '../decibels.ts'
import { createDynamicSection } from '../dynamic-section.ts'
import { createLaneDelay } from '../lane-delay.ts'
import { softKneeReductionDb } from '../soft-knee.ts'
import { BLOCK_FRAMES, type Stage, type StageLayout } from '../stage.ts'
import { smoothingCoefficient } from '../time-constant.ts'
import { createSibilanceDetector } from './de-ess-detector.ts'
import type { DeEssSettings } from './settings.ts'

const KNEE_DB = 4
const ATTACK_SECONDS = 0.0015
const HOLD_SECONDS = 0.005
const RELEASE_SECONDS = 0.06
const LOOK_AHEAD_SECONDS = 0.004
const UNTOUCHED_DB = 0.01
const Q = Math.SQRT1_2
const MIDPOINT_BELOW_SHELF = Math.SQRT1_2

export function createDeEss(settings: DeEssSettings, layout: StageLayout): Stage {
  const { laneChannels, sampleRateHz } = layout
  const { shape, frequencyHz, thresholdDb, rangeDb } = settings
  const latencySamples = Math.round(LOOK_AHEAD_SECONDS * sampleRateHz)
  const holdFrames = Math.round(HOLD_SECONDS * sampleRateHz)
  const attackA = smoothingCoefficient(ATTACK_SECONDS, sampleRateHz)
  const releaseDb = rangeDb / (RELEASE_SECONDS * sampleRateHz)
  /** Ratio of powers under which nothing is asked for. */
  const untouchedRatio = gainFromDb(2 * (thresholdDb - KNEE_DB / 2))

  const detector = createSibilanceDetector(laneChannels[0], sampleRateHz)
  const delay = createLaneDelay(laneChannels, latencySamples)
  const section = createDynamicSection(
    shape,
    shape === 'bell' ? frequencyHz : frequencyHz * MIDPOINT_BELOW_SHELF,
    Q,
    laneChannels,
    sampleRateHz,
  )
  // Reduction in dB, and frames of hold that remain.
  const state = new Float64Array(2)
  const control = new Float64Array(BLOCK_FRAMES)
  let reductionDb = 0

  return {
    latencySamples,
    memory: [...detector.memory, ...delay.memory, ...section.memory, state],
    get reductionDb() {
      return reductionDb
    },
    process(lanes, frames) {
      detector.run(lanes[0], control, frames)
      let reduction = state[0]
      let hold = state[1]
      let greatest = 0
      for (let i = 0; i < frames; i++) {
        const ratio = control[i]
        const asked =
          ratio > untouchedRatio
            ? Math.min(softKneeReductionDb(dbFromPower(ratio) - thresholdDb, 1, KNEE_DB), rangeDb)
            : 0
        if (asked >= reduction) {
          reduction = asked + attackA * (reduction - asked)
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
