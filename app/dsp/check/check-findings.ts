// Turns the measurements of a take's check into findings, each with its value, threshold and places.

import { dbFromGain } from '../maths/decibels.ts'
import type { Span } from '../maths/span.ts'
import { type Finding, placed } from '../meters/finding.ts'
import { DC_OFFSET_LIMIT_DBFS } from '../meters/take-findings.ts'
import { type CodingTraces, LEAST_RATIO } from './coding/coding-traces.ts'
import type { HumFamily } from './hum.ts'
import { materialFinding } from './material.ts'
import type { Phrase } from './phrases.ts'
import { MIN_CONFIDENCE, type Polarity } from './polarity.ts'
import { DRY_EARLY_DECAY_S, type Reverberation } from './reverberation.ts'
import { MIN_DROP_DB, type SpectralEdge } from './spectral-edge.ts'
import { SPREAD_MOST_DB, type TrackedCompression } from './tracked-compression.ts'

/** All measurements. Levels are RMS from 80 Hz up, dBFS; a full-scale sine reads -3.01. */
export interface CheckEvidence {
  readonly seconds: number
  readonly floorDbfs: number | null
  readonly floorSeconds: number
  readonly voiceDbfs: number | null
  readonly pauseSeconds: number
  /** Mean of the samples over the quietest 10 % of the tenths of a second, linear. */
  readonly quietOffset: number | null
  readonly phrases: readonly Phrase[]
  readonly breaths: readonly Span[]
  /** Whether the take can be a single voice and is long enough to tell. */
  readonly isOneVoice: boolean
  readonly lowAgainstVoiceDb: number | null
  readonly soundSeconds: number
  readonly clicks: readonly Span[]
  readonly pops: readonly (Span & { readonly riseDb: number })[]
  readonly hum: HumFamily | null
  readonly polarity: Polarity
  readonly edge: SpectralEdge | null
  readonly trackedCompression: TrackedCompression
  readonly oppositeChannels: boolean
  readonly reverberation: Reverberation | null
  readonly coding: CodingTraces | null
}

/** Common practice: a floor above this, relative to the voice, is audible once the voice is levelled. */
const FLOOR_UNDER_VOICE_LIMIT_DB = -40
/** Common practice: hum below this level is not noticed. */
const HUM_LIMIT_DBFS = -85

export function checkFindings(evidence: CheckEvidence): Finding[] {
  const always = [
    materialFinding(evidence),
    oppositeChannels(evidence),
    quietOffset(evidence),
    coded(evidence),
    edge(evidence),
  ]
  const ofVoice = evidence.isOneVoice
    ? [
        noiseFloor(evidence),
        hum(evidence),
        clicks(evidence),
        pops(evidence),
        polarity(evidence),
        compressed(evidence),
        reverberant(evidence),
      ]
    : []
  return [...always, ...ofVoice].filter((finding) => finding !== null)
}

function noiseFloor({ floorDbfs, voiceDbfs }: CheckEvidence): Finding | null {
  if (floorDbfs === null || voiceDbfs === null) return null
  const value = floorDbfs - voiceDbfs
  if (value <= FLOOR_UNDER_VOICE_LIMIT_DB) return null
  return {
    kind: 'noise-floor',
    value,
    unit: 'dB',
    threshold: FLOOR_UNDER_VOICE_LIMIT_DB,
    atSeconds: [],
    floorDbfs,
  }
}

function hum({ hum: family }: CheckEvidence): Finding | null {
  if (family === null) return null
  // Far below, lines of noise alone can make a family off the mains frequency by chance.
  if (family.levelDbfs <= HUM_LIMIT_DBFS) return null
  if (family.rateRatio !== 1) return wrongRate(family)
  return {
    kind: 'hum',
    value: family.levelDbfs,
    unit: 'dBFS',
    threshold: HUM_LIMIT_DBFS,
    atSeconds: [],
    confidence: Math.min(...family.harmonics.map(({ prominenceDb }) => prominenceDb)),
    fundamentalHz: family.fundamentalHz,
    harmonics: family.harmonics.map(({ harmonic }) => harmonic),
  }
}

function wrongRate({ fundamentalHz, mainsHz, rateRatio, harmonics }: HumFamily): Finding {
  return {
    kind: 'wrong-rate',
    value: fundamentalHz,
    unit: 'Hz',
    threshold: mainsHz,
    atSeconds: [],
    confidence: Math.min(...harmonics.map(({ prominenceDb }) => prominenceDb)),
    rateRatio,
  }
}

function clicks({ clicks: found }: CheckEvidence): Finding | null {
  if (found.length === 0) return null
  return {
    kind: 'clicks',
    value: found.length,
    unit: 'clicks',
    threshold: 1,
    ...placed(found),
  }
}

function pops({ pops: found }: CheckEvidence): Finding | null {
  if (found.length === 0) return null
  return {
    kind: 'pops',
    value: found.length,
    unit: 'pops',
    threshold: 1,
    ...placed(found),
  }
}

function polarity({ polarity: measured }: CheckEvidence): Finding | null {
  if (measured.verdict !== 'inverted' || measured.skewness === null) return null
  return {
    kind: 'inverted-polarity',
    value: -measured.skewness,
    unit: 'skewness',
    threshold: 0,
    atSeconds: [],
    confidence: measured.confidence,
    voicedSeconds: measured.voicedSeconds,
    leastConfidence: MIN_CONFIDENCE,
  }
}

function compressed({ trackedCompression }: CheckEvidence): Finding | null {
  const { isLikely, levelSpreadDb, noiseRiseDb } = trackedCompression
  if (!isLikely || levelSpreadDb === null) return null
  return {
    kind: 'likely-compressed',
    value: -levelSpreadDb,
    unit: 'dB',
    threshold: -SPREAD_MOST_DB,
    atSeconds: [],
    noiseRiseDb,
  }
}

function reverberant({ reverberation }: CheckEvidence): Finding | null {
  if (reverberation === null || reverberation.earlyDecayS <= DRY_EARLY_DECAY_S) return null
  return {
    kind: 'reverberation',
    value: reverberation.earlyDecayS,
    unit: 's',
    threshold: DRY_EARLY_DECAY_S,
    atSeconds: [],
  }
}

function coded({ coding }: CheckEvidence): Finding | null {
  if (coding === null) return null
  const { coder, ratio, deviations } = coding
  return {
    kind: 'lossy-coding',
    value: ratio,
    unit: 'times',
    threshold: LEAST_RATIO,
    atSeconds: [],
    confidence: deviations,
    coder,
  }
}

function edge({ edge: found, coding }: CheckEvidence): Finding | null {
  if (found === null) return null
  // The traces of a coder say more than its bandwidth.
  if (found.kind === 'coder' && coding !== null) return null
  const { edgeHz, dropDb, fromRateHz } = found
  const shared = {
    value: edgeHz,
    unit: 'Hz',
    threshold: 0,
    atSeconds: [],
    confidence: dropDb / MIN_DROP_DB,
    dropDb,
  }
  return fromRateHz === null
    ? { kind: 'lossy-bandwidth', ...shared }
    : { kind: 'converted-rate', ...shared, fromRateHz }
}

function oppositeChannels({ oppositeChannels: are }: CheckEvidence): Finding | null {
  if (!are) return null
  return {
    kind: 'opposite-channels',
    value: 1,
    unit: 'pair',
    threshold: 1,
    atSeconds: [],
  }
}

function quietOffset({ quietOffset: offset, floorDbfs }: CheckEvidence): Finding | null {
  // Without pauses the mean of the quietest frames comes from low frequencies, not from an offset.
  if (offset === null || floorDbfs === null) return null
  const value = dbFromGain(Math.abs(offset))
  if (!(value > DC_OFFSET_LIMIT_DBFS)) return null
  return {
    kind: 'dc-offset',
    value,
    unit: 'dBFS',
    threshold: DC_OFFSET_LIMIT_DBFS,
    atSeconds: [],
    where: 'pauses',
  }
}
