// The menu of one artist, voice, song or session: merge into another of its kind, or remove.

import { useState } from 'react'
import type { EntityKind } from '../../../app/contract/entity-changes.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons } from '../../parts/dialog.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { Menu } from '../../parts/menu.tsx'

type Named = { readonly id: number; readonly name: string; readonly detail?: string }

export interface EntityMenuProps {
  readonly kind: EntityKind
  readonly entity: Named
  /** What it can be merged into. */
  readonly others: readonly Named[]
  readonly onMerge: (into: Named) => void
  readonly onRemove: () => void
  /** Only a voice can be exported. */
  readonly onExport?: (() => void) | undefined
}

/** What a merge moves, per kind. */
const MOVES: Readonly<Record<EntityKind, string>> = {
  artist:
    'Its voices, songs, sessions and chains move to the other artist. Songs of one title become one song.',
  voice: 'Its takes and chains move to the other voice.',
  song: 'Its sessions move to the other song.',
  session: '',
}

export function EntityMenu({ kind, entity, others, onMerge, onRemove, onExport }: EntityMenuProps) {
  const [isMerging, setMerging] = useState(false)
  const [intoId, setIntoId] = useState<number | null>(null)
  const into = others.find(({ id }) => id === intoId)
  return (
    <>
      <Menu
        label={`More for ${kind} ${entity.name}`}
        acts={[
          ...(others.length === 0
            ? []
            : [{ name: `Merge into another ${kind}…`, onAction: () => setMerging(true) }]),
          ...(onExport === undefined ? [] : [{ name: `Export ${kind}…`, onAction: onExport }]),
          { name: `Remove ${kind}`, onAction: onRemove },
        ]}
      />
      {isMerging ? (
        <Dialog title={`Merge ${entity.name}`} isOpen onClose={() => setMerging(false)}>
          <Select
            label={`Into ${kind}`}
            placeholder={`Choose the ${kind} that stays`}
            items={others.map(({ id, name, detail }) => ({
              key: id,
              name,
              ...(detail === undefined ? {} : { detail }),
            }))}
            value={intoId}
            onChange={setIntoId}
          />
          <p className="soft">{MOVES[kind]} Undo restores both exactly.</p>
          <DialogButtons>
            <Button onPress={() => setMerging(false)}>Cancel</Button>
            <Button
              look="main"
              isDisabled={into === undefined}
              onPress={() => {
                setMerging(false)
                if (into !== undefined) onMerge(into)
              }}
            >
              {into === undefined ? 'Merge' : `Merge into ${into.name}`}
            </Button>
          </DialogButtons>
        </Dialog>
      ) : null}
    </>
  )
}
