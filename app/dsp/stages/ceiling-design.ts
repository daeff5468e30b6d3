// The ceiling's coefficients from its settings.

import { gainFromDb } from '../maths/decibels.ts'
import { smoothingCoefficient } from '../maths/time-constant.ts'
import { GROUP_FRAMES } from '../meters/true-peak-interpolator.ts'
import type { CeilingSettings } from './settings.ts'

/** Keeps samples under the ceiling after rounding to 32-bit floats. */
const SINGLE_PRECISION_MARGIN = 2 ** -23

interface CeilingDesign {
  /** Linear; 2^-23 below the setting, so that 32-bit floats keep to it too. */
  readonly ceiling: number
  /** Frames, 1 or more. */
  readonly lookAhead: number
  readonly latencySamples: number
  /** Smoothing coefficient of the release. */
  readonly releaseA: number
}

/** @param sampleRateHz of the stage */
export function designCeiling(settings: CeilingSettings, sampleRateHz: number): CeilingDesign {
  const lookAhead = Math.max(1, Math.round((settings.lookAheadMs * sampleRateHz) / 1000))
  return {
    ceiling: gainFromDb(settings.ceilingDbtp) * (1 - SINGLE_PRECISION_MARGIN),
    lookAhead,
    latencySamples: lookAhead - 1 + GROUP_FRAMES,
    releaseA: smoothingCoefficient(settings.releaseMs / 1000, sampleRateHz),
  }
}

/** Lengths of the two moving averages that in series span `window` samples. */
export function boxLengths(window: number): readonly [number, number] {
  const first = Math.ceil(0.58 * window)
  return [first, window + 1 - first]
}
