// What is wrong with a take, from its measured facts: each finding carries its figure, the
// threshold it crossed, and where.

import { dbFromGain } from '../maths/decibels.ts'
import type { Span } from '../maths/span.ts'
import { CLIPPED_RUN_SAMPLES } from './clipped-runs.ts'
import { type Finding, placed } from './finding.ts'
import { OVER_FULL_SCALE_DBTP } from './true-peak.ts'

/** Common practice: offsets below this are inaudible and cost no headroom. */
export const DC_OFFSET_LIMIT_DBFS = -60
/** Common practice: a take that is mostly digital zero was muted, edited or misrouted. */
const DIGITAL_ZERO_LIMIT_PERCENT = 50

export interface FindingEvidence {
  readonly measuredFrames: number
  readonly clippedRuns: number
  /** In order. */
  readonly clippedPlaces: readonly Span[]
  /** Mean with the greatest magnitude of all channels, linear. */
  readonly dcOffset: number
  readonly samplePeak: number
  readonly truePeakDbtp: number | null
  readonly oversAtSeconds: readonly number[]
  readonly digitalZeroFrames: number
  readonly digitalZeroAtSeconds: readonly number[]
}

export function takeFindings(evidence: FindingEvidence): Finding[] {
  if (evidence.measuredFrames === 0) return []
  if (evidence.samplePeak === 0) return [silence(100, [0])]
  const found = [clipping(evidence), overFullScale(evidence), dcOffset(evidence), digitalZero(evidence)]
  return found.filter((finding) => finding !== null)
}

function clipping({ clippedRuns, clippedPlaces }: FindingEvidence): Finding | null {
  if (clippedRuns < 1) return null
  return {
    kind: 'clipping',
    value: clippedRuns,
    unit: 'runs',
    threshold: 1,
    ...placed(clippedPlaces),
    leastRunSamples: CLIPPED_RUN_SAMPLES,
  }
}

function overFullScale({ truePeakDbtp, oversAtSeconds }: FindingEvidence): Finding | null {
  if (truePeakDbtp === null || truePeakDbtp <= OVER_FULL_SCALE_DBTP) return null
  return {
    kind: 'over-full-scale',
    value: truePeakDbtp,
    unit: 'dBTP',
    threshold: OVER_FULL_SCALE_DBTP,
    atSeconds: oversAtSeconds,
  }
}

function dcOffset({ dcOffset }: FindingEvidence): Finding | null {
  const levelDbfs = dbFromGain(Math.abs(dcOffset))
  if (levelDbfs <= DC_OFFSET_LIMIT_DBFS) return null
  return {
    kind: 'dc-offset',
    value: levelDbfs,
    unit: 'dBFS',
    threshold: DC_OFFSET_LIMIT_DBFS,
    atSeconds: [],
    where: 'throughout',
  }
}

function digitalZero({
  digitalZeroFrames,
  measuredFrames,
  digitalZeroAtSeconds,
}: FindingEvidence): Finding | null {
  const percent = (100 * digitalZeroFrames) / measuredFrames
  return percent < DIGITAL_ZERO_LIMIT_PERCENT ? null : silence(percent, digitalZeroAtSeconds)
}

function silence(percent: number, atSeconds: readonly number[]): Finding {
  return {
    kind: 'silent',
    value: percent,
    unit: '%',
    threshold: DIGITAL_ZERO_LIMIT_PERCENT,
    atSeconds,
  }
}
