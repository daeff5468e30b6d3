// The menu that adds a stage where it usually goes. Dragging or keys move it elsewhere.

import { Menu, MenuItem, MenuTrigger, Popover } from 'react-aria-components'
import { MAX_STAGES } from '../../../app/contract/text/limits.ts'
import type { StageKind } from '../../../app/words/chain/setting-names.ts'
import { STAGE_NAMES, STAGE_PURPOSES } from '../../../app/words/chain/stage-words.ts'
import { type ChainRows, insertStage, usualPlace } from '../../formats/chain/chain-rows.ts'
import { Button } from '../../parts/button.tsx'
import { type ChainDraft, editRows } from '../../state/chain/chain-draft.ts'
import { remark } from '../../state/notices.ts'

export function AddStage({ draft }: { draft: ChainDraft }) {
  const { owner, rows } = draft
  const add = (kind: StageKind): void => {
    const at = usualPlace(rows, kind)
    editRows(
      owner,
      `add ${STAGE_NAMES[kind]}`,
      (now) => insertStage(now, kind, usualPlace(now, kind)),
      (now, before) => now.find(({ key }) => before.every((row) => row.key !== key))?.key ?? null,
    )
    remark(`Added ${STAGE_NAMES[kind]} ${placeInWords(rows, at)}`, 'Drag its name to move it.')
  }
  return (
    <MenuTrigger>
      <Button look="plain" isDisabled={rows.length >= MAX_STAGES}>
        Add stage
      </Button>
      <Popover className="popover" placement="bottom end">
        <Menu className="list-box" onAction={(key) => add(key as StageKind)}>
          {(Object.keys(STAGE_NAMES) as StageKind[]).map((kind) => (
            <MenuItem key={kind} id={kind} textValue={STAGE_NAMES[kind]} className="list-item">
              {/* Not the slots for label and description: the name of an item is all of its text. */}
              <span>{STAGE_NAMES[kind]}</span>
              <span className="list-item-detail">{STAGE_PURPOSES[kind]}</span>
            </MenuItem>
          ))}
        </Menu>
      </Popover>
    </MenuTrigger>
  )
}

/** Between which stages index `at` of the rows is. */
function placeInWords(rows: ChainRows, at: number): string {
  const before = rows[at - 1]
  const after = rows[at]
  if (before !== undefined) return `after ${STAGE_NAMES[before.stage.kind]}`
  return after === undefined ? 'as the first stage' : `before ${STAGE_NAMES[after.stage.kind]}`
}
