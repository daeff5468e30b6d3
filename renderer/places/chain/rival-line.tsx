// Says that another window has changed the draft that is edited here, and lets the user choose.

import { useState } from 'react'
import { formatTimeOfDay } from '../../../app/words/format.ts'
import { stagesOf } from '../../formats/chain/chain-rows.ts'
import { describeChanges } from '../../formats/chain/describe-changes.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons } from '../../parts/dialog.tsx'
import { type ChainDraft, isChanged } from '../../state/chain/chain-draft.ts'
import { overruleRival, type Rival, takeRival, useKeptDraft } from '../../state/chain/kept-drafts.ts'

export function RivalLine({ draft }: { draft: ChainDraft }) {
  const { rival } = useKeptDraft(draft.owner)
  const [isOpen, setOpen] = useState(false)
  if (rival === null || !isChanged(draft)) return null
  return (
    <div className="rival-line" role="alert">
      <span>
        {rival.record === null
          ? 'Another window has saved or discarded this draft.'
          : `Another window changed this draft at ${formatTimeOfDay(rival.record.changedAt)}.`}{' '}
        What you do here is not kept until you choose.
      </span>
      <Button look="plain" onPress={() => setOpen(true)}>
        Compare and choose
      </Button>
      {isOpen ? <ChooseDialog draft={draft} rival={rival} onClose={() => setOpen(false)} /> : null}
    </div>
  )
}

function ChooseDialog(props: { draft: ChainDraft; rival: Rival; onClose: () => void }) {
  const { draft, rival, onClose } = props
  const theirs = rival.record?.stages ?? draft.version?.stages ?? []
  const changes = describeChanges(stagesOf(draft.rows), theirs)
  return (
    <Dialog title="Two drafts of one chain" isOpen onClose={onClose}>
      <p className="soft">
        {rival.record === null
          ? 'Going back to the saved version would change:'
          : 'The other window’s draft would change:'}
      </p>
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
        <Button
          onPress={() => {
            overruleRival(draft.owner)
            onClose()
          }}
        >
          Keep this one
        </Button>
        <Button
          look="main"
          onPress={() => {
            takeRival(draft.owner)
            onClose()
          }}
        >
          {rival.record === null ? 'Use the saved version' : 'Use the other one'}
        </Button>
      </DialogButtons>
    </Dialog>
  )
}
