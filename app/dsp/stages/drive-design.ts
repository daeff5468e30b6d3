// What the settings of the drive come to: gain into the curve, bias, gains of the sum, and
// how far the rate has to be raised.

import type { OversamplingFactor } from '../conversion/oversampling-design.ts'
import { gainFromDb } from '../maths/decibels.ts'
import type { DriveSettings } from './settings.ts'

const REFERENCE_BELOW_KNEE_DB = 12
const BIAS_AT_100_PERCENT = 0.5
const DC_BLOCK_HZ = 5

export interface DriveDesign {
  readonly factor: OversamplingFactor
  /** Gain into the curve. */
  readonly push: number
  /** tanh of the curve's bias. */
  readonly tanhBias: number
  /** Gain of the sound as it came. */
  readonly unbentGain: number
  /** Gain of what the curve changed of it. */
  readonly bentGain: number
  /** Pole of the high-pass that keeps DC out. */
  readonly dcBlockR: number
}

export function designDrive(settings: DriveSettings, sampleRateHz: number): DriveDesign {
  const pushDb = settings.amountDb - settings.referenceDbfs - REFERENCE_BELOW_KNEE_DB
  const mix = settings.mixPercent / 100
  const output = gainFromDb(settings.outputDb)
  return {
    factor: oversamplingFor(pushDb),
    push: gainFromDb(pushDb),
    tanhBias: Math.tanh((BIAS_AT_100_PERCENT * settings.evenPercent) / 100),
    unbentGain: 1 - mix + mix * output,
    bentGain: mix * output,
    dcBlockR: Math.exp((-2 * Math.PI * DC_BLOCK_HZ) / sampleRateHz),
  }
}

/**
 * The rate at which sines to 7.35 kHz at -6 dBFS, driven this far, leave nothing above
 * -100 dB that is not a harmonic (measured by `npm run fidelity`).
 * @param pushDb gain into the curve
 */
function oversamplingFor(pushDb: number): OversamplingFactor {
  if (pushDb <= 14) return 4
  return pushDb <= 20 ? 8 : 16
}
