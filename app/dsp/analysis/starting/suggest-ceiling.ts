// Suggests a ceiling: single peaks that stand out of the levelled voice are held, or peaks that come too
// near full scale.

import { levellingAt } from '../levelling.ts'
import type { VoiceAnalysed } from '../voice-analysis.ts'
import { clamp, confidenceFrom, type ProposalOf } from './proposal.ts'

/** Highest true peak of programmes: EBU R 128 (2023). */
const HIGHEST_DBTP = -1
/** Peaks this far above 99 % of the others are single ones (our choice). */
const MIN_OVER_DB = 3
/** A ceiling that takes more is heard as such (common practice). */
const MOST_HELD_DB = 3
const STEP_DB = 0.5

/** @param thresholdDbfs of the proposed opto, behind which the peaks were measured */
export function suggestCeiling(
  { levelling, activeSeconds }: VoiceAnalysed,
  thresholdDbfs: number,
): ProposalOf<'ceiling'> | null {
  if (levelling === undefined) return null
  const { peakDbfs, usualPeakDbfs } = levellingAt(levelling, thresholdDbfs)
  const overDb = peakDbfs - usualPeakDbfs
  if (overDb < MIN_OVER_DB && peakDbfs <= HIGHEST_DBTP) return null
  const wantedDbtp = overDb < MIN_OVER_DB ? HIGHEST_DBTP : peakDbfs - Math.min(overDb, MOST_HELD_DB)
  const ceilingDbtp = STEP_DB * Math.round(clamp(wantedDbtp, -24, HIGHEST_DBTP) / STEP_DB)
  return {
    stage: { kind: 'ceiling', settings: { ceilingDbtp, lookAheadMs: 2, releaseMs: 80 } },
    evidence: [{ kind: 'peaks', peakDbfs, usualPeakDbfs, ceilingDbtp }],
    confidence: confidenceFrom(activeSeconds),
  }
}
