// Suggests opto settings: loud phrases are reduced by about the usual amount, and
// quiet ones are left alone.

import type { VoiceAnalysed } from '../voice-analysis.ts'
import { clamp, confidenceFrom, type Proposal } from './proposal.ts'

/** Peak of a sine over its RMS: the stage's levels are referred to sines (AES17). */
const SINE_CREST_DB = 3.01
const KNEE_DB = 10
/** Reduction on loud phrases: 3 to 6 dB is typical (common practice). */
const MIN_REDUCTION_DB = 3
const MAX_REDUCTION_DB = 6
/** Reduction as a share of the range between loud and quiet. */
const REDUCTION_SHARE = 0.22
/** Voices with a wider dynamic range get the higher ratio. */
const WIDE_RANGE_DB = 18

export function suggestOpto({ loudLevelDbfs, quietLevelDbfs, activeSeconds }: VoiceAnalysed): Proposal {
  const rangeDb = loudLevelDbfs - quietLevelDbfs
  const reductionDb = clamp(REDUCTION_SHARE * rangeDb, MIN_REDUCTION_DB, MAX_REDUCTION_DB)
  const ratio = rangeDb > WIDE_RANGE_DB ? 4 : 3
  const loudDbfs = loudLevelDbfs + SINE_CREST_DB
  const thresholdDbfs = clamp(Math.round(loudDbfs - overThresholdDb(reductionDb, 1 - 1 / ratio)), -60, 0)
  return {
    stage: {
      kind: 'opto',
      settings: {
        thresholdDbfs,
        ratio,
        kneeDb: KNEE_DB,
        attackMs: 10,
        releaseMs: 60,
        recoverySeconds: 3,
        makeUpDb: 0,
      },
    },
    evidence: [{ kind: 'dynamic-range', loudDbfs, rangeDb, ratio, thresholdDbfs, reductionDb }],
    confidence: confidenceFrom(activeSeconds),
  }
}

/** Level over the threshold that gives this reduction: the inverse of the stage's static soft-knee curve. */
function overThresholdDb(reductionDb: number, slope: number): number {
  const inKnee = Math.sqrt((2 * KNEE_DB * reductionDb) / slope) - KNEE_DB / 2
  return inKnee <= KNEE_DB / 2 ? inKnee : reductionDb / slope
}
