// The meter's facts about a take, in the form of the contract.

import { Failure } from '../../contract/failure.ts'
import type { TakeFacts } from '../../contract/take-facts.ts'
import type { CheckedTake } from '../../dsp/check/take-check.ts'
import type { MeterFacts, TakeMeter } from '../../dsp/meters/take-meter.ts'

/**
 * @param name what to call the file in a failure
 * @throws Failure `not-finite` with the position of the first non-finite sample
 */
export function finiteFactsOf(meter: TakeMeter, name: string, sampleRateHz: number): MeterFacts {
  const measured = meter.facts()
  const bad = measured.firstNonFinite
  if (bad !== null) throw unmeasurableFailure(name, sampleRateHz, bad)
  return measured
}

/** The Failure for a sample that is NaN, infinite or beyond 32-bit float, wherever a file comes in. */
export const unmeasurableFailure = (
  name: string,
  sampleRateHz: number,
  { frame, channel }: { readonly frame: number; readonly channel: number },
): Failure =>
  new Failure(
    'not-finite',
    `${name} has a sample that is not a number, or is beyond the range of 32-bit float, at ${(frame / sampleRateHz).toFixed(3)} s (frame ${frame}, channel ${channel + 1}); export it again from where it was recorded.`,
    { path: name, frame, channel },
  )

/**
 * The part of the meter's facts that the contract carries; the rest is the file's format.
 * @param checkFindings findings of the take check, to be added
 */
export function takeFactsOf(measured: MeterFacts, checkFindings: CheckedTake['findings']): TakeFacts {
  const known = new Set(measured.findings.map(({ kind }) => kind))
  // A finding that both report (an offset) is listed once.
  const findings = [...measured.findings, ...checkFindings.filter(({ kind }) => !known.has(kind))]
  return {
    integratedLufs: measured.integratedLufs,
    loudnessRangeLu: measured.loudnessRangeLu,
    maxMomentaryLufs: measured.maxMomentaryLufs,
    maxShortTermLufs: measured.maxShortTermLufs,
    truePeakDbtp: measured.truePeakDbtp,
    samplePeakDbfs: measured.samplePeakDbfs,
    dcOffset: measured.dcOffset ?? 0,
    findings,
  }
}
