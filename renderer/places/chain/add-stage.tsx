// The menu that adds a stage after the chosen one, or at the nearest place its kind may stand.

import { Menu, MenuItem, MenuTrigger, Popover, Text } from 'react-aria-components'
import { MAX_STAGES } from '../../../app/contract/text/limits.ts'
import { type ChainRows, insertStage, type StageKind } from '../../formats/chain/chain-rows.ts'
import { STAGE_NAMES, STAGE_PURPOSES } from '../../formats/chain/stage-words.ts'
import { Button } from '../../parts/button.tsx'
import { editRows } from '../../state/chain/chain-draft.ts'

export function AddStage({ rows, selectedKey }: { rows: ChainRows; selectedKey: number | null }) {
  const add = (kind: StageKind): void => {
    const chosen = rows.findIndex(({ key }) => key === selectedKey)
    const wanted = chosen === -1 ? rows.length : chosen + 1
    editRows(
      `add ${STAGE_NAMES[kind]}`,
      (now) => insertStage(now, kind, wanted),
      (now, before) => now.find(({ key }) => before.every((row) => row.key !== key))?.key ?? null,
    )
  }
  return (
    <MenuTrigger>
      <Button look="plain" isDisabled={rows.length >= MAX_STAGES}>
        Add a stage
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
