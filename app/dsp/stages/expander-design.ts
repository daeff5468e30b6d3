// The expander's coefficients from its settings.

import { dbFromPower, gainFromDb } from '../maths/decibels.ts'
import { smoothingCoefficient } from '../maths/time-constant.ts'
import type { ExpanderSettings } from './settings.ts'

/** -300 dBFS: keeps the logarithm finite and the detector out of denormal numbers. */
export const SILENT_POWER = 1e-30
/** Reductions below this are 0; the step to a gain of exactly 1 is then -119 dB. */
export const OPEN_DB = 1e-5
const DETECTOR_SECONDS = 0.005
/** Mean square of a full-scale sine. */
const FULL_SCALE_POWER = 0.5

interface ExpanderDesign {
  readonly detectorA: number
  readonly attackA: number
  readonly releaseA: number
  readonly holdFrames: number
  /** Mean square below which it reduces, linear and in dB. */
  readonly thresholdPower: number
  readonly thresholdDb: number
  /** dB of reduction per dB under the threshold. */
  readonly slope: number
}

/** @param sampleRateHz of the stage */
export function designExpander(settings: ExpanderSettings, sampleRateHz: number): ExpanderDesign {
  const { thresholdDbfs, ratio, attackMs, holdMs, releaseMs } = settings
  const thresholdPower = FULL_SCALE_POWER * gainFromDb(2 * thresholdDbfs)
  return {
    detectorA: smoothingCoefficient(DETECTOR_SECONDS, sampleRateHz),
    attackA: smoothingCoefficient(attackMs / 1000, sampleRateHz),
    releaseA: smoothingCoefficient(releaseMs / 1000, sampleRateHz),
    holdFrames: Math.round((holdMs * sampleRateHz) / 1000),
    thresholdPower,
    thresholdDb: dbFromPower(thresholdPower),
    slope: ratio - 1,
  }
}
