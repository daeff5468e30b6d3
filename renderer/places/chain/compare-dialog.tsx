// The differences between two versions of a chain, in words.

import { useState } from 'react'
import type { ChainVersion } from '../../../app/contract/entities.ts'
import { formatMoment } from '../../../app/words/format.ts'
import { stagesOf } from '../../formats/chain/chain-rows.ts'
import { describeChanges } from '../../formats/chain/describe-changes.ts'
import { versionNumber } from '../../formats/chain/version-words.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons } from '../../parts/dialog.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { type ChainDraft, isChanged } from '../../state/chain/chain-draft.ts'

/** Stands for the draft where a version id is expected. */
const CURRENT = 0

export interface CompareDialogProps {
  readonly draft: ChainDraft
  /** Newest first. */
  readonly versions: readonly ChainVersion[]
  readonly onClose: () => void
}

export function CompareDialog({ draft, versions, onClose }: CompareDialogProps) {
  const [fromId, setFromId] = useState(
    isChanged(draft) ? (draft.version?.id ?? CURRENT) : (versions[1]?.id ?? versions[0]?.id ?? CURRENT),
  )
  const [toId, setToId] = useState(CURRENT)
  const items = [
    { key: CURRENT, name: 'Current settings', detail: 'as edited' },
    ...versions.map((version) => ({
      key: version.id,
      name: `Version ${versionNumber(version)}`,
      detail: `${formatMoment(version.createdAt)}${version.note === '' ? '' : `, ${version.note}`}`,
    })),
  ]
  const stagesAt = (id: number) =>
    id === CURRENT ? stagesOf(draft.rows) : (versions.find((version) => version.id === id)?.stages ?? [])
  const changes = describeChanges(stagesAt(fromId), stagesAt(toId))
  return (
    <Dialog title="Compare versions" isOpen onClose={onClose} width="wide">
      <div className="dialog-row">
        <Select label="From" items={items} value={fromId} onChange={(id) => setFromId(id ?? CURRENT)} />
        <Select label="To" items={items} value={toId} onChange={(id) => setToId(id ?? CURRENT)} />
      </div>
      {changes.length === 0 ? (
        <p>No differences.</p>
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
