// The drive's coefficients from its settings: gain into the curve, bias, gains of the sum, oversampling.

import type { OversamplingFactor } from '../conversion/oversampling-design.ts'
import { gainFromDb } from '../maths/decibels.ts'
import type { DriveSettings } from './settings.ts'

const REFERENCE_BELOW_KNEE_DB = 12
const BIAS_AT_100_PERCENT = 0.5
const DC_BLOCK_HZ = 5
const HIGH_RATE_HZ = 88_200
/** At 4 times, -103 dB are left at 44.1 kHz and -115 dB at 48 kHz; 3 dB more leave -80 dB. */
const LOW_PUSH_DB = 7

/** The drive as a memoryless curve: unbentGain x + bentGain excess(push x) x. */
interface DriveGains {
  /** Linear gain into the curve. */
  readonly push: number
  /** tanh of the curve's bias. */
  readonly tanhBias: number
  /** Linear gain of the dry sound. */
  readonly unbentGain: number
  /** Linear gain of the difference that the curve makes. */
  readonly bentGain: number
}

interface DriveDesign extends DriveGains {
  readonly factor: OversamplingFactor
  /** Pole of the high-pass that blocks DC. */
  readonly dcBlockR: number
}

/** The curve of the settings, the same at every sample rate. */
export function driveGains(settings: DriveSettings): DriveGains {
  const mix = settings.mixPercent / 100
  const output = gainFromDb(settings.outputDb)
  return {
    push: gainFromDb(pushDbOf(settings)),
    tanhBias: Math.tanh((BIAS_AT_100_PERCENT * settings.evenPercent) / 100),
    unbentGain: 1 - mix + mix * output,
    bentGain: mix * output,
  }
}

/** @param sampleRateHz of the stage, before oversampling */
export function designDrive(settings: DriveSettings, sampleRateHz: number): DriveDesign {
  return {
    ...driveGains(settings),
    factor: oversamplingFor(pushDbOf(settings), sampleRateHz),
    dcBlockR: Math.exp((-2 * Math.PI * DC_BLOCK_HZ) / sampleRateHz),
  }
}

const pushDbOf = ({ amountDb, referenceDbfs }: DriveSettings): number =>
  amountDb - referenceDbfs - REFERENCE_BELOW_KNEE_DB

/**
 * The factor at which sines up to 15 kHz at -6 dBFS, driven this far, leave nothing above -90 dB that is not a
 * harmonic (measured by `npm run fidelity`). At twice the rates of 44.1 and 48 kHz half of it is enough.
 * @param pushDb gain into the curve
 */
function oversamplingFor(pushDb: number, sampleRateHz: number): OversamplingFactor {
  const isHighRate = sampleRateHz >= HIGH_RATE_HZ
  if (pushDb <= LOW_PUSH_DB || (pushDb <= 14 && isHighRate)) return 4
  return pushDb <= 14 || (pushDb <= 20 && isHighRate) ? 8 : 16
}
