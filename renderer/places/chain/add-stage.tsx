// The menu that adds a stage after the selected one, or at the nearest allowed position.

import { Menu, MenuItem, MenuTrigger, Popover, Text } from 'react-aria-components'
import { MAX_STAGES } from '../../../app/contract/text/limits.ts'
import { insertStage, type StageKind } from '../../formats/chain/chain-rows.ts'
import { STAGE_NAMES, STAGE_PURPOSES } from '../../formats/chain/stage-words.ts'
import { Button } from '../../parts/button.tsx'
import { type ChainDraft, editRows } from '../../state/chain/chain-draft.ts'

export function AddStage({ draft }: { draft: ChainDraft }) {
  const { owner, rows, selectedKey } = draft
  const add = (kind: StageKind): void => {
    const chosen = rows.findIndex(({ key }) => key === selectedKey)
    const wanted = chosen === -1 ? rows.length : chosen + 1
    editRows(
      owner,
      `add ${STAGE_NAMES[kind]}`,
      (now) => insertStage(now, kind, wanted),
      (now, before) => now.find(({ key }) => before.every((row) => row.key !== key))?.key ?? null,
    )
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
              <Text slot="label">{STAGE_NAMES[kind]}</Text>
              <Text slot="description" className="list-item-detail">
                {STAGE_PURPOSES[kind]}
              </Text>
            </MenuItem>
          ))}
        </Menu>
      </Popover>
    </MenuTrigger>
  )
}
