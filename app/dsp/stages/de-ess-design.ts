// The de-esser's coefficients from its settings: thresholds, times in frames, the section.

import { gainFromDb } from '../maths/decibels.ts'
import { smoothingCoefficient } from '../maths/time-constant.ts'
import type { DeEssSettings } from './settings.ts'

/** Width of the knee. */
export const KNEE_DB = 4
/** Of the bell and of the shelf. */
export const SECTION_Q = Math.SQRT1_2
/** Reductions below this are 0, so that the output between sibilants is the input. */
export const UNTOUCHED_DB = 0.01
/** How far below the voice's hot sibilants one is still reduced as they are, and what each further dB spares (our choice). */
export const SOFT_GRACE_DB = 6
export const SPARED_PER_DB = 1
const ATTACK_SECONDS = 0.0015
const HOLD_SECONDS = 0.005
const RELEASE_SECONDS = 0.06
const LOOK_AHEAD_SECONDS = 0.004
const MIDPOINT_BELOW_SHELF = Math.SQRT1_2

interface DeEssDesign {
  /** Look-ahead. */
  readonly latencySamples: number
  readonly holdFrames: number
  /** Smoothing coefficient of the attack. */
  readonly attackA: number
  /** Release in dB per frame. */
  readonly releaseDb: number
  /** Ratio of powers under which there is no reduction. */
  readonly untouchedRatio: number
  /** The bell's frequency or the shelf's midpoint. */
  readonly sectionHz: number
}

/** @param sampleRateHz of the stage */
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
