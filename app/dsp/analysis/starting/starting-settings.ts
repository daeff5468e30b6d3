// Derives starting settings from a voice's analysis: low-cut, tone, de-ess and opto, each
// with its evidence and within bounds, to be checked by ear.

import type { VoiceAnalysed } from '../voice-analysis.ts'
import type { Proposal } from './proposal.ts'
import { suggestDeEss } from './suggest-de-ess.ts'
import { suggestLowCut } from './suggest-low-cut.ts'
import { suggestOpto } from './suggest-opto.ts'
import { suggestTone } from './suggest-tone.ts'

/**
 * Proposals in the usual order of a chain; stages with nothing to do are omitted.
 * @param history earlier takes of the same voice; balances are only compared with two or more of them
 */
export function startingSettings(
  analysis: VoiceAnalysed,
  history: readonly VoiceAnalysed[] = [],
): readonly Proposal[] {
  return [
    suggestLowCut(analysis),
    suggestTone(analysis, history),
    suggestDeEss(analysis, history),
    suggestOpto(analysis),
  ].filter((proposal) => proposal !== null)
}
