// Puts proposed stages onto an owner's table as one change that can be taken back. Nothing
// is saved, and no bounce hears it before it is.

import type { ChainStages } from '../../app/contract/chain-document.ts'
import { STAGE_NAMES } from '../formats/chain/stage-words.ts'
import { clearTable, editRows, layOut, readChainDraft } from '../state/chain/chain-draft.ts'
import type { ChainForTake } from './chain-for-take.ts'
import { takeIn } from './take-in-proposal.ts'

export function putInChain({ owner, used }: ChainForTake, stages: ChainStages): void {
  const isTabled = readChainDraft() !== null
  layOut(owner, used)
  const names = stages.map(({ kind }) => STAGE_NAMES[kind]).join(', ')
  editRows(
    `starting settings: ${names}`,
    (rows) => stages.reduce(takeIn, rows),
    (rows) => rows.find(({ stage }) => stage.kind === stages[0].kind)?.key ?? null,
  )
  // Outside of Chain the saved chain goes on being what is heard.
  if (!isTabled) clearTable()
}
