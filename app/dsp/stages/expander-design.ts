// The expander's coefficients from its settings.
//
// The side chain hears little below 65 Hz, so that rumble does not hold a pause up: -25 dB at 40 Hz. The lowest
// voices are heard as they are, -0.4 dB at 80 Hz, because many words begin with the fundamental alone, as b, d and g do.
// The sound is delayed by the look-ahead: the 30 ms in which the level of a word that swells slowly, or begins
// with its fundamental, reaches the threshold, and the time in which the attack takes the whole range down to 1 dB. It is
// at most 60 ms, because a delay costs memory in every checkpoint of a playback; an attack that needs more than
// that still opens while the word begins. Hold is counted for as much longer, so that the end of a word
// is left as long as without look-ahead.

import { sideChainHighPass } from '../filters/side-chain-sections.ts'
import type { SvfCoefficients } from '../filters/svf.ts'
import { dbFromPower, gainFromDb } from '../maths/decibels.ts'
import { smoothingCoefficient } from '../maths/time-constant.ts'
import type { ExpanderSettings } from './settings.ts'

/** -300 dBFS: keeps the logarithm finite and the detector out of denormal numbers. */
export const SILENT_POWER = 1e-30
/** Reductions below this are 0; the step to a gain of exactly 1 is then -119 dB. */
export const OPEN_DB = 1e-5
const DETECTOR_SECONDS = 0.005
const SIDE_CHAIN_HZ = 65
/** A Butterworth high-pass of order 6. */
const SIDE_CHAIN_QS = [0.5176, Math.SQRT1_2, 1.9319]
/**
 * A tone that starts 1 dB over the threshold reads it after 7.9 ms. Recorded words swell: of those that begin
 * low and soft, two lost 2.2 dB of their first 15 ms with 25 ms, and none 2 dB with 30 ms (measured).
 */
const DETECTOR_LAG_SECONDS = 0.03
const MAX_LOOK_AHEAD_SECONDS = 0.06
/** Mean square of a full-scale sine. */
const FULL_SCALE_POWER = 0.5

interface ExpanderDesign {
  /** High-pass of the side chain, three sections. */
  readonly highPass: readonly SvfCoefficients[]
  /** Frames that the sound is delayed by. */
  readonly lookAhead: number
  readonly detectorA: number
  readonly attackA: number
  readonly releaseA: number
  /** From where the level falls below the threshold, look-ahead included. */
  readonly holdFrames: number
  /** Mean square below which it reduces, linear and in dB. */
  readonly thresholdPower: number
  readonly thresholdDb: number
  /** dB of reduction per dB under the threshold. */
  readonly slope: number
}

/** What the stage's level hears: its high-pass, at a rate. */
export const expanderSideChain = (sampleRateHz: number): SvfCoefficients[] =>
  sideChainHighPass(SIDE_CHAIN_HZ, SIDE_CHAIN_QS, sampleRateHz)

/** @param sampleRateHz of the stage */
export function designExpander(settings: ExpanderSettings, sampleRateHz: number): ExpanderDesign {
  const { thresholdDbfs, ratio, rangeDb, attackMs, holdMs, releaseMs } = settings
  const openingSeconds = (attackMs / 1000) * Math.log(Math.max(1, rangeDb))
  const lookAhead = Math.round(
    Math.min(MAX_LOOK_AHEAD_SECONDS, DETECTOR_LAG_SECONDS + openingSeconds) * sampleRateHz,
  )
  const thresholdPower = FULL_SCALE_POWER * gainFromDb(2 * thresholdDbfs)
  return {
    highPass: expanderSideChain(sampleRateHz),
    lookAhead,
    detectorA: smoothingCoefficient(DETECTOR_SECONDS, sampleRateHz),
    attackA: smoothingCoefficient(attackMs / 1000, sampleRateHz),
    releaseA: smoothingCoefficient(releaseMs / 1000, sampleRateHz),
    holdFrames: Math.round((holdMs * sampleRateHz) / 1000) + lookAhead,
    thresholdPower,
    thresholdDb: dbFromPower(thresholdPower),
    slope: ratio - 1,
  }
}
