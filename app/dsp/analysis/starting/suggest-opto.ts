// Suggests opto settings: loud phrases are reduced by 3 to 6 dB (common practice), soft ones hardly. The
// threshold is where the stage itself, run on this take, reduces by that.

import { softKneeReductionDb } from '../../stages/static-curves.ts'
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
  const thresholds = Array.from({ length: 1 - LOWEST_THRESHOLD_DBFS }, (_, underDb) => -underDb)
  const reductionAt = (thresholdDbfs: number): number =>
    levelling === undefined
      ? softKneeReductionDb(loudDbfs - thresholdDbfs, 1 - 1 / ratio, USUAL_OPTO.kneeDb)
      : levellingAt(levelling, thresholdDbfs).loudReductionDb
  const thresholdDbfs = thresholds.reduce((best, one) =>
    Math.abs(reductionAt(one) - wantedDb) < Math.abs(reductionAt(best) - wantedDb) ? one : best,
  )
  const reductionDb = reductionAt(thresholdDbfs)
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
