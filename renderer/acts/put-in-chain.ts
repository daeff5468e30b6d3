// Puts proposed stages into the draft of a chain's owner as one undoable change. The draft is not saved, so
// no bounce uses it yet.

import type { ChainStages } from '../../app/contract/chain-document.ts'
import { STAGE_NAMES } from '../../app/words/chain/stage-words.ts'
import { editRows, followUsed } from '../state/chain/chain-draft.ts'
import type { ChainInUse } from '../state/chain/chain-owner.ts'
import { takeIn } from './take-in-proposal.ts'

/** @param stages the first of them becomes selected in the chain */
export function putInChain(chain: ChainInUse, stages: ChainStages): void {
  followUsed(chain)
  const names = stages.map(({ kind }) => STAGE_NAMES[kind]).join(', ')
  editRows(
    chain.owner,
    `starting settings: ${names}`,
    (rows) => stages.reduce(takeIn, rows),
    (rows) => rows.find(({ stage }) => stage.kind === stages[0].kind)?.key ?? null,
  )
}
