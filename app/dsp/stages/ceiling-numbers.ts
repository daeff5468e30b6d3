// What the settings of the ceiling come to.

import { gainFromDb } from '../maths/decibels.ts'
import { smoothingCoefficient } from '../maths/time-constant.ts'
import { INTERVAL_LATENCY } from '../meters/interval-peaks.ts'
import type { CeilingSettings } from './settings.ts'

const SINGLE_PRECISION_MARGIN = 2 ** -23

export interface CeilingNumbers {
  /** Linear; lies 2^-23 under the setting, so that 32-bit floats keep to it too. */
  readonly ceiling: number
  /** Frames, 1 or more. */
  readonly lookAhead: number
  readonly latencySamples: number
  /** What is taken off keeps so much of itself from frame to frame while it is let go. */
  readonly releaseA: number
}

export function ceilingNumbers(settings: CeilingSettings, sampleRateHz: number): CeilingNumbers {
  const lookAhead = Math.max(1, Math.round((settings.lookAheadMs * sampleRateHz) / 1000))
  return {
    ceiling: gainFromDb(settings.ceilingDbtp) * (1 - SINGLE_PRECISION_MARGIN),
    lookAhead,
    latencySamples: lookAhead - 1 + INTERVAL_LATENCY,
    releaseA: smoothingCoefficient(settings.releaseMs / 1000, sampleRateHz),
  }
}
