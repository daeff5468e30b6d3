// Puts a mic correction that was set up in Mics into the draft of the current chain: into its
// mic-correction stage, or as a new stage. Can be undone.

import type { ChainStage, MicCorrectionAims } from '../../app/contract/chain-document.ts'
import { type ChainRows, insertStage, replaceStage } from '../formats/chain/chain-rows.ts'
import { editRows, followUsed } from '../state/chain/chain-draft.ts'
import { readCurrentChain } from '../state/chain/heard-draft.ts'
import { goTo } from '../state/selection.ts'

const correctionOf = (rows: ChainRows) => rows.find(({ stage }) => stage.kind === 'mic-correction')

/** Also opens the Chain place; without a current chain, does only that. */
export function bringCorrection(settings: MicCorrectionAims): void {
  const chain = readCurrentChain()
  if (chain !== null) {
    followUsed(chain)
    editRows(
      chain.owner,
      'mic correction from Mics',
      (rows) => {
        const first = rows.findIndex(({ stage }) => stage.kind !== 'trim' && stage.kind !== 'expander')
        const there =
          correctionOf(rows) === undefined
            ? insertStage(rows, 'mic-correction', first === -1 ? rows.length : first)
            : rows
        const stage: ChainStage = { kind: 'mic-correction', on: true, settings: structuredClone(settings) }
        return replaceStage(there, correctionOf(there)!.key, () => stage)
      },
      (rows) => correctionOf(rows)?.key ?? null,
    )
  }
  goTo('chain')
}
