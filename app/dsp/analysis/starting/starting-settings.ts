// From a voice's analysis to settings to start from: low-cut, tone, de-ess and opto, each
// with its evidence and within bounds, to be heard first.

import type { VoiceAnalysed } from '../voice-analysis.ts'
import type { Proposal } from './proposal.ts'
import { suggestDeEss } from './suggest-de-ess.ts'
import { suggestLowCut } from './suggest-low-cut.ts'
import { suggestOpto } from './suggest-opto.ts'
import { suggestTone } from './suggest-tone.ts'

/**
 * In the order in which the stages stand in a chain; what has nothing to do is left out.
 * @param history earlier takes of the same voice; balances are judged beside two or more of them
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
