// What is wrong with a take, from its measured facts: each finding carries its
// figure, the threshold it crossed, where, what that means and what to do.

import { dbFromGain } from '../maths/decibels.ts'
import type { Span } from '../maths/span.ts'
import { CLIPPED_RUN_SAMPLES } from './clipped-runs.ts'
import { PLACES_KEPT } from './first-places.ts'
import { OVER_FULL_SCALE_DBTP } from './true-peak.ts'

export type FindingKind =
  | 'clipping'
  | 'dc-offset'
  | 'silent'
  | 'over-full-scale'
  | 'noise-floor'
  | 'hum'
  | 'clicks'
  | 'pops'
  | 'inverted-polarity'
  | 'opposite-channels'
  | 'likely-compressed'
  | 'wrong-rate'
  | 'converted-rate'
  | 'lossy-bandwidth'
  | 'not-one-voice'
  | 'too-short'
  | 'same-performance'

export interface Finding {
  readonly kind: FindingKind
  readonly value: number
  readonly unit: string
  /** In the same unit; the finding is made when the value is above it, for counts and shares at or above. */
  readonly threshold: number
  /** The first places, at most 20, seconds from the start; empty where it holds throughout. */
  readonly atSeconds: readonly number[]
  /** The first stretches in order, at most 100, where it is stretches that matter. */
  readonly places?: readonly Span[]
  /** How sure it is, in standard deviations or as its meaning says; left out where it is plain fact. */
  readonly confidence?: number
  /** One sentence. */
  readonly meaning: string
  readonly remedy: string
}

/** Common practice: offsets below this are neither heard nor cost headroom. */
export const DC_OFFSET_LIMIT_DBFS = -60
/** Common practice: a take that is mostly digital zero was muted, edited or misrouted. */
export const DIGITAL_ZERO_LIMIT_PERCENT = 50

/** Most places and moments that a finding carries. */
const MOST_PLACES = 100
const MOST_MOMENTS = PLACES_KEPT

/** Where a finding holds, for spans in order. */
export function placed(spans: readonly Span[]): Pick<Finding, 'atSeconds' | 'places'> {
  return {
    atSeconds: spans.slice(0, MOST_MOMENTS).map(({ fromS }) => fromS),
    places: spans.slice(0, MOST_PLACES).map(({ fromS, toS }) => ({ fromS, toS })),
  }
}

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
    meaning: `The waveform is cut flat at the highest level it reaches there (runs of ${CLIPPED_RUN_SAMPLES} samples or more, entered at speed): a stage before or in the converter ran out of range, or a hard limiter was in the way.`,
    remedy:
      'Listen at the places given; use another take there if it is heard, and record with more headroom, because lowering the level does not bring the tops back.',
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
    meaning:
      'The waveform goes over full scale at or between samples, so a converter or an encoder behind it may clip.',
    remedy: `Lower the take by ${(Math.ceil(truePeakDbtp * 10) / 10 + 1).toFixed(1)} dB in the trim stage to keep 1 dB of room, or let the ceiling stage hold it.`,
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
    meaning:
      'The waveform is not centred on zero: it costs headroom, makes edits click and drives level-dependent stages unevenly.',
    remedy: 'Keep the low-cut stage on, which takes it out, and have the input that recorded it checked.',
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
    meaning:
      percent === 100
        ? 'Every sample is exactly zero: nothing was recorded, or the wrong track was exported.'
        : 'Much of the take is exactly zero, which no microphone delivers: it was edited, gated or muted, and a noise floor cannot be read there.',
    remedy:
      percent === 100
        ? 'Export or record the take again.'
        : 'Check that no phrase is missing; if one is, export the take again without muting or gating.',
  }
}
