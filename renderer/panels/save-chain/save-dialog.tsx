// Saves a chain draft as a new version and assigns it to the group or the session.

import { useQuery } from '@tanstack/react-query'
import { type FormEvent, useState } from 'react'
import type { ChainStages } from '../../../app/contract/chain-document.ts'
import type { ChainVersion } from '../../../app/contract/entities.ts'
import { MAX_NOTE } from '../../../app/contract/text/limits.ts'
import { formatMoment } from '../../../app/words/format.ts'
import { stagesOf } from '../../formats/chain/chain-rows.ts'
import { describeChanges } from '../../formats/chain/describe-changes.ts'
import { newestVersion, versionNumber } from '../../formats/chain/version-words.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../../parts/dialog.tsx'
import { Checkbox } from '../../parts/fields/checkbox.tsx'
import { TextField } from '../../parts/fields/text-field.tsx'
import { type ChainDraft, markSaved } from '../../state/chain/chain-draft.ts'
import type { ChainOwner } from '../../state/chain/chain-owner.ts'
import { client } from '../../state/connection.ts'
import { messageOf, remark } from '../../state/notices.ts'
import { chainVersionsQuery } from '../../state/queries.ts'
import './save-dialog.css'

export interface SaveDialogProps {
  readonly draft: ChainDraft
  readonly voice: { readonly id: number; readonly name: string }
  readonly onClose: () => void
}

/** Assigns a saved version to a group, or to the session if its groups share one chain. */
export async function setOnOwner(owner: ChainOwner, chainVersionId: number): Promise<void> {
  if (owner.groupId === null) {
    await client.updateSession({ id: owner.sessionId, changes: { sharedChainVersionId: chainVersionId } })
  } else await client.updateGroup({ id: owner.groupId, changes: { chainVersionId } })
}

/**
 * Saves a chain draft as a new version or a new chain, and assigns it to the group or session it was made
 * for.
 */
export function SaveDialog({ draft, voice, onClose }: SaveDialogProps) {
  const { version, owner } = draft
  const [note, setNote] = useState('')
  const [isNewChain, setNewChain] = useState(version === null)
  const [name, setName] = useState(
    version !== null ? '' : owner.groupId === null ? voice.name : `${voice.name} ${owner.name}`,
  )
  const [isBusy, setBusy] = useState(false)
  const [failure, setFailure] = useState<string | null>(null)
  const versions = useQuery({ ...chainVersionsQuery(version?.chainId ?? 0), enabled: version !== null }).data
  const newest = versions === undefined ? undefined : newestVersion(versions)
  const isOfOld = !isNewChain && version !== null && newest !== undefined && newest.id !== version.id
  const changes = version === null ? [] : describeChanges(version.stages, stagesOf(draft.rows))

  const save = async (event: FormEvent): Promise<void> => {
    event.preventDefault()
    setBusy(true)
    setFailure(null)
    try {
      const saved = await client.saveChain({
        voiceId: isNewChain || version === null ? voice.id : version.voiceId,
        chainId: isNewChain || version === null ? null : version.chainId,
        ...(isNewChain || newest === undefined || version === null
          ? {}
          : { newestId: newest.id, editedId: version.id }),
        name: isNewChain || version === null ? name : version.chainName,
        stages: stagesOf(draft.rows),
        note,
      })
      await setOnOwner(owner, saved.id)
      markSaved(owner, saved)
      remark(`Saved ${saved.chainName} as version ${versionNumber(saved)}`, `${owner.name} now uses it.`)
      onClose()
    } catch (error) {
      setFailure(messageOf(error))
      setBusy(false)
    }
  }

  return (
    <Dialog title="Save chain" isOpen onClose={onClose}>
      <form onSubmit={(event) => void save(event)}>
        <p className="soft">
          {isNewChain || version === null
            ? `New chain for voice ${voice.name}. ${owner.name} will use it.`
            : `New version of ${version.chainName}; version ${versionNumber(version)} is kept. ${owner.name} will use the new version.`}
        </p>
        {changes.length === 0 ? null : (
          <ul className="chain-changes">
            {changes.map((change) => (
              <li key={change}>{change}</li>
            ))}
          </ul>
        )}
        {isOfOld ? <NewerVersion base={version} newest={newest} stages={stagesOf(draft.rows)} /> : null}
        {version === null ? null : (
          <Checkbox isSelected={isNewChain} onChange={setNewChain}>
            Save as a new chain
          </Checkbox>
        )}
        {isNewChain || version === null ? (
          <TextField label="Name" value={name} onChange={setName} isRequired />
        ) : null}
        <TextField
          label="Note"
          value={note}
          onChange={setNote}
          autoFocus
          maxLength={MAX_NOTE}
          placeholder="What changed, and why"
        />
        <DialogFailure message={failure} />
        <DialogButtons>
          <Button onPress={onClose}>Cancel</Button>
          <Button
            look="main"
            type="submit"
            isDisabled={
              isBusy ||
              (version !== null && newest === undefined) ||
              ((isNewChain || version === null) && name.trim() === '')
            }
          >
            {isOfOld ? `Save as version ${newest.number + 1} all the same` : 'Save version'}
          </Button>
        </DialogButtons>
      </form>
    </Dialog>
  )
}

/** Says that the chain has moved on since the draft was begun, and shows how the draft differs from it. */
function NewerVersion(props: { base: ChainVersion; newest: ChainVersion; stages: ChainStages }) {
  const { base, newest, stages } = props
  const [isOpen, setOpen] = useState(false)
  const changes = describeChanges(newest.stages, stages)
  return (
    <div className="save-newer" role="alert">
      <p>
        These settings started from version {versionNumber(base)}. Version {versionNumber(newest)} is newer:
        saved {formatMoment(newest.createdAt)}
        {newest.sharesNumber ? ` on ${newest.machineName}` : ''}
        {newest.note === '' ? '' : `, “${newest.note}”`}. Saving keeps both, and the new version has none of
        its changes.
      </p>
      <Button look="plain" aria-expanded={isOpen} onPress={() => setOpen(!isOpen)}>
        {isOpen ? 'Hide the difference' : `Show the difference from version ${versionNumber(newest)}`}
      </Button>
      {!isOpen ? null : changes.length === 0 ? (
        <p>No differences.</p>
      ) : (
        <ul className="chain-changes">
          {changes.map((change) => (
            <li key={change}>{change}</li>
          ))}
        </ul>
      )}
    </div>
  )
}
