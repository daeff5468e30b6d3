// The static curves of the level-dependent stages: the output level at which a steady input settles.
// The window draws its curves from here, so that it uses the stages' own constants. Attack, release and
// hold are left out. What a stage's level hears of each frequency is here for the same reason.

import { svfPower } from '../filters/svf.ts'
import { KNEE_DB } from './de-ess-design.ts'
import { driveExcess } from './drive-curve.ts'
import { driveGains } from './drive-design.ts'
import { expanderSideChain } from './expander-design.ts'
import { optoSideChain } from './opto-design.ts'
import type { DeEssSettings, DriveSettings, ExpanderSettings, OptoSettings } from './settings.ts'

/**
 * Gain reduction of a soft knee in dB, 0 or more.
 * Source: Giannoulis, Massberg and Reiss, J. Audio Eng. Soc. 60(6), 2012, eq. 4.
 * @param overDb level minus threshold in dB
 * @param slope dB of reduction per dB over the threshold, 1 - 1 / ratio
 * @param kneeDb width of the knee, centred on the threshold; 0 is a hard knee
 */
export function softKneeReductionDb(overDb: number, slope: number, kneeDb: number): number {
  const half = kneeDb / 2
  if (overDb <= -half) return 0
  if (overDb >= half) return slope * overDb
  const intoKnee = overDb + half
  return (slope * intoKnee * intoKnee) / (2 * kneeDb)
}

/** Output peak level of the opto in dBFS for a steady sine of `inputDbfs`, make-up gain included. */
export function optoOutputDbfs(
  inputDbfs: number,
  settings: Pick<OptoSettings, 'thresholdDbfs' | 'ratio' | 'kneeDb' | 'makeUpDb'>,
): number {
  const { thresholdDbfs, ratio, kneeDb, makeUpDb } = settings
  return inputDbfs - softKneeReductionDb(inputDbfs - thresholdDbfs, 1 - 1 / ratio, kneeDb) + makeUpDb
}

/**
 * Output peak level of the expander in dBFS for a steady sine of `inputDbfs`: below the threshold
 * each dB becomes `ratio` dB, limited by the range.
 */
export function expanderOutputDbfs(
  inputDbfs: number,
  settings: Pick<ExpanderSettings, 'thresholdDbfs' | 'ratio' | 'rangeDb'>,
): number {
  const { thresholdDbfs, ratio, rangeDb } = settings
  return inputDbfs - Math.min(rangeDb, Math.max(0, (thresholdDbfs - inputDbfs) * (ratio - 1)))
}

/** Power gain of what the level of a stage hears at a frequency from 0 to half the sample rate. */
export function sideChainPower(kind: 'expander' | 'opto', frequencyHz: number, sampleRateHz: number): number {
  const sections = kind === 'opto' ? optoSideChain(sampleRateHz) : expanderSideChain(sampleRateHz)
  return sections.reduce((power, section) => power * svfPower(section, frequencyHz, sampleRateHz), 1)
}

/** Gain reduction of the sibilant band in dB at a steady ratio of sibilance to voice. */
export function deEssReductionDb(
  ratioDb: number,
  settings: Pick<DeEssSettings, 'thresholdDb' | 'rangeDb'>,
): number {
  return Math.min(settings.rangeDb, softKneeReductionDb(ratioDb - settings.thresholdDb, 1, KNEE_DB))
}

/** Output sample of the drive for an input sample, full scale 1, without oversampling and DC block. */
export function driveOutput(input: number, settings: DriveSettings): number {
  const { push, tanhBias, unbentGain, bentGain } = driveGains(settings)
  return unbentGain * input + bentGain * driveExcess(push * input, tanhBias) * input
}
