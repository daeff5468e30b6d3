// Two versions of a chain side by side, in words.

import { useState } from 'react'
import type { ChainVersion } from '../../../app/contract/entities.ts'
import { stagesOf } from '../../formats/chain/chain-rows.ts'
import { describeChanges } from '../../formats/chain/describe-changes.ts'
import { formatMoment } from '../../formats/format.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons } from '../../parts/dialog.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { type ChainDraft, isChanged } from '../../state/chain/chain-draft.ts'

/** Stands for what is on the table. */
const TABLE = 0

export interface CompareDialogProps {
  readonly draft: ChainDraft
  /** Newest first. */
  readonly versions: readonly ChainVersion[]
  readonly onClose: () => void
}

export function CompareDialog({ draft, versions, onClose }: CompareDialogProps) {
  const [fromId, setFromId] = useState(
    isChanged(draft) ? (draft.version?.id ?? TABLE) : (versions[1]?.id ?? versions[0]?.id ?? TABLE),
  )
  const [toId, setToId] = useState(TABLE)
  const items = [
    { key: TABLE, name: 'On the table', detail: 'as it is now' },
    ...versions.map((version) => ({
      key: version.id,
      name: `Version ${version.number}`,
      detail: `${formatMoment(version.createdAt)}${version.note === '' ? '' : `, ${version.note}`}`,
    })),
  ]
  const stagesAt = (id: number) =>
    id === TABLE ? stagesOf(draft.rows) : (versions.find((version) => version.id === id)?.stages ?? [])
  const changes = describeChanges(stagesAt(fromId), stagesAt(toId))
  return (
    <Dialog title="What is different" isOpen onClose={onClose} width="wide">
      <div className="dialog-row">
        <Select label="From" items={items} value={fromId} onChange={(id) => setFromId(id ?? TABLE)} />
        <Select label="To" items={items} value={toId} onChange={(id) => setToId(id ?? TABLE)} />
      </div>
      {changes.length === 0 ? (
        <p>They are alike.</p>
      ) : (
        <ul className="chain-changes">
          {changes.map((change) => (
            <li key={change}>{change}</li>
          ))}
        </ul>
      )}
      <DialogButtons>
        <Button look="main" onPress={onClose}>
          Close
        </Button>
      </DialogButtons>
    </Dialog>
  )
}
