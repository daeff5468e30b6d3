// Suggests opto settings: loud phrases are reduced by 3 to 6 dB (common practice), soft ones hardly. The
// threshold is where the stage itself, run on this take, reduces by that.

import { type Levelling, levellingAt, SINE_CREST_DB, USUAL_OPTO } from '../levelling.ts'
import type { VoiceAnalysed } from '../voice-analysis.ts'
import { clamp, confidenceFrom, type Evidence, type ProposalOf } from './proposal.ts'

/** Reduction on loud phrases; a tenth of the singing is reduced by more. */
const MIN_REDUCTION_DB = 3.5
const MAX_REDUCTION_DB = 5
/** Reduction as a share of the range between loud and quiet. */
const REDUCTION_SHARE = 0.22
/** Range over which loud singing varies so little that levelling has nothing to do (our choice). */
const EVEN_RANGE_DB = 8
const WIDE_RANGE_DB = 18
const LOWEST_THRESHOLD_DBFS = -60

/** null for a voice that is level already. */
export function suggestOpto(analysis: VoiceAnalysed): ProposalOf<'opto'> | null {
  const { loudLevelDbfs, quietLevelDbfs, activeSeconds, levelling } = analysis
  const rangeDb = loudLevelDbfs - quietLevelDbfs
  if (rangeDb < EVEN_RANGE_DB) return null
  const wantedDb = clamp(REDUCTION_SHARE * rangeDb, MIN_REDUCTION_DB, MAX_REDUCTION_DB)
  const loudDbfs = loudLevelDbfs + SINE_CREST_DB
  const ratio = levelling?.ratio ?? (rangeDb > WIDE_RANGE_DB ? 4 : 3)
  const thresholdDbfs =
    levelling === undefined
      ? clamp(Math.round(loudDbfs - overThresholdDb(wantedDb, 1 - 1 / ratio)), LOWEST_THRESHOLD_DBFS, 0)
      : thresholdFor(levelling, wantedDb)
  const reductionDb =
    levelling === undefined ? wantedDb : levellingAt(levelling, thresholdDbfs).loudReductionDb
  const evidence: Evidence[] = [
    { kind: 'dynamic-range', loudDbfs, rangeDb, ratio, thresholdDbfs, reductionDb },
  ]
  if (levelling !== undefined) evidence.push(levellingEvidence(levelling, thresholdDbfs))
  return {
    stage: { kind: 'opto', settings: { ...USUAL_OPTO, thresholdDbfs, ratio } },
    evidence,
    confidence: confidenceFrom(activeSeconds),
  }
}

function levellingEvidence(levelling: Levelling, thresholdDbfs: number): Evidence {
  const { medianReductionDb, loudReductionDb } = levellingAt(levelling, thresholdDbfs)
  return { kind: 'levelling', medianReductionDb, loudReductionDb }
}

/** The threshold in whole dB at which loud moments are reduced most nearly by this. */
function thresholdFor(levelling: Levelling, wantedDb: number): number {
  const offDb = (thresholdDbfs: number): number =>
    Math.abs(levellingAt(levelling, thresholdDbfs).loudReductionDb - wantedDb)
  let best = 0
  for (let one = -1; one >= LOWEST_THRESHOLD_DBFS; one--) if (offDb(one) < offDb(best)) best = one
  return best
}

/** Level over the threshold that gives this reduction: the inverse of the stage's static soft-knee curve. */
function overThresholdDb(reductionDb: number, slope: number): number {
  const { kneeDb } = USUAL_OPTO
  const inKnee = Math.sqrt((2 * kneeDb * reductionDb) / slope) - kneeDb / 2
  return inKnee <= kneeDb / 2 ? inKnee : reductionDb / slope
}
