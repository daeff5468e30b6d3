// Moves and removes stages, for their heads and panels.

import { isLayerStage } from '../../../../app/contract/chain-document.ts'
import { STAGE_NAMES } from '../../../../app/words/chain/stage-words.ts'
import { type ChainRow, moveStage, removeStage } from '../../../formats/chain/chain-rows.ts'
import { type ChainDraft, editRows } from '../../../state/chain/chain-draft.ts'
import type { ChainOwner } from '../../../state/chain/chain-owner.ts'
import { remark } from '../../../state/notices.ts'

/** When the reason was last shown, in ms; quick repeats of the key do not show it again. */
let saidAt = Number.NEGATIVE_INFINITY
const SAID_AGAIN_MS = 10_000

/** Moves a stage to an index. If the order does not allow it, moves it as near as possible and says why. */
export function moveRow({ owner, rows }: ChainDraft, row: ChainRow, to: number): void {
  if (to < 0 || to >= rows.length) return
  const moved = moveStage(rows, row.key, to)
  const isHeldBack = moved.findIndex(({ key }) => key === row.key) !== to
  if (isHeldBack && performance.now() - saidAt > SAID_AGAIN_MS) {
    saidAt = performance.now()
    remark(
      `${STAGE_NAMES[row.stage.kind]} stays ${isLayerStage(row.stage) ? 'before' : 'after'} the sum`,
      isLayerStage(row.stage) ? 'It runs on each layer.' : 'Stages per layer come first.',
    )
  }
  if (moved !== rows) {
    editRows(owner, `move ${STAGE_NAMES[row.stage.kind]}`, (now) => moveStage(now, row.key, to))
  }
}

/** Removes a stage and selects the one that takes its place. */
export function removeRow(owner: ChainOwner, row: ChainRow): void {
  editRows(
    owner,
    `remove ${STAGE_NAMES[row.stage.kind]}`,
    (rows) => removeStage(rows, row.key),
    (rows, before) => {
      const index = before.findIndex(({ key }) => key === row.key)
      return (rows[index] ?? rows.at(-1))?.key ?? null
    },
  )
}
