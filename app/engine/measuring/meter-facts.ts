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
  if (bad !== null) {
    throw new Failure(
      'not-finite',
      `${name} holds a value that is no number at ${(bad.frame / sampleRateHz).toFixed(3)} s (frame ${bad.frame}, channel ${bad.channel + 1}); export it again from where it was recorded.`,
      { path: name, frame: bad.frame, channel: bad.channel },
    )
  }
  return measured
}

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
