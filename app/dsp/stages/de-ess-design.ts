// What the settings of the de-esser come to: thresholds, times in frames, the section.

import { gainFromDb } from '../maths/decibels.ts'
import { smoothingCoefficient } from '../maths/time-constant.ts'
import type { DeEssSettings } from './settings.ts'

export const KNEE_DB = 4
export const SECTION_Q = Math.SQRT1_2
/** The last of a reduction that is left out. */
export const UNTOUCHED_DB = 0.01
const ATTACK_SECONDS = 0.0015
const HOLD_SECONDS = 0.005
const RELEASE_SECONDS = 0.06
const LOOK_AHEAD_SECONDS = 0.004
const MIDPOINT_BELOW_SHELF = Math.SQRT1_2

interface DeEssDesign {
  /** How long the sound waits. */
  readonly latencySamples: number
  readonly holdFrames: number
  /** What a rising reduction keeps of itself from frame to frame. */
  readonly attackA: number
  /** dB that a falling one loses in a frame. */
  readonly releaseDb: number
  /** Ratio of powers under which nothing is asked for. */
  readonly untouchedRatio: number
  /** The bell's frequency or the shelf's midpoint. */
  readonly sectionHz: number
}

export function designDeEss(settings: DeEssSettings, sampleRateHz: number): DeEssDesign {
  const { shape, frequencyHz, thresholdDb, rangeDb } = settings
  return {
    latencySamples: Math.round(LOOK_AHEAD_SECONDS * sampleRateHz),
    holdFrames: Math.round(HOLD_SECONDS * sampleRateHz),
    attackA: smoothingCoefficient(ATTACK_SECONDS, sampleRateHz),
    releaseDb: rangeDb / (RELEASE_SECONDS * sampleRateHz),
    untouchedRatio: gainFromDb(2 * (thresholdDb - KNEE_DB / 2)),
    sectionHz: shape === 'bell' ? frequencyHz : frequencyHz * MIDPOINT_BELOW_SHELF,
  }
}
