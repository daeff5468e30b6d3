// Derives starting settings from a voice's analysis: low-cut, tone, de-ess, drive, opto and ceiling, each
// with its evidence and within bounds, to be checked by ear. No two stages act on one problem.

import { FEWEST_EARLIER_TAKES } from '../usual-spread.ts'
import type { VoiceAnalysed } from '../voice-analysis.ts'
import type { Proposal, ProposalOf } from './proposal.ts'
import { suggestCeiling } from './suggest-ceiling.ts'
import { suggestDeEss } from './suggest-de-ess.ts'
import { suggestDrive } from './suggest-drive.ts'
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
  const deEss = suggestDeEss(analysis, history)
  const opto = suggestOpto(analysis)
  return [
    suggestLowCut(analysis),
    suggestTone(analysis, history, holdsRings(deEss, history) ? deEss.stage.settings : null),
    deEss,
    suggestDrive(analysis),
    opto,
    opto === null ? null : suggestCeiling(analysis, opto.stage.settings.thresholdDbfs),
  ].filter((proposal) => proposal !== null)
}

/**
 * Whether what rings in the sibilant band is the de-esser's to hold. Beside history, a ring is known to be one
 * of the vowels, which the de-esser leaves alone, unless the sibilants are stronger as well.
 */
function holdsRings(
  deEss: ProposalOf<'de-ess'> | null,
  history: readonly VoiceAnalysed[],
): deEss is ProposalOf<'de-ess'> {
  if (deEss === null) return false
  return (
    history.length < FEWEST_EARLIER_TAKES || deEss.evidence.some(({ kind }) => kind === 'stronger-sibilants')
  )
}
