// Settings of a bounce. The bounce itself runs in the background.

import { useQuery } from '@tanstack/react-query'
import { type FormEvent, useState } from 'react'
import type { SessionContents } from '../../../app/contract/entities.ts'
import { MAX_PATH } from '../../../app/contract/text/limits.ts'
import type { StemEncoding } from '../../../app/contract/wire/commands.ts'
import { firstNames } from '../../../app/words/missing-takes.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { bounce } from '../../acts/bounce-acts.ts'
import { roughLayerStemsOf } from '../../formats/rough-layer-stems.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../../parts/dialog.tsx'
import { Checkbox } from '../../parts/fields/checkbox.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { TextField } from '../../parts/fields/text-field.tsx'
import { type ChainDraft, useUnsavedChains } from '../../state/chain/chain-draft.ts'
import { useVoiceOfDraft } from '../../state/chain/use-chain-owner.ts'
import { bridge } from '../../state/connection.ts'
import { findMissingTakes, useMissingInStack } from '../../state/missing-takes.ts'
import { workplaceQuery } from '../../state/queries.ts'
import { useSelection } from '../../state/selection.ts'
import { isSoloOn, useSolo } from '../../state/solo.ts'
import { SaveDialog } from '../save-chain/save-dialog.tsx'
import { forgetBounceFolder, useBounceChoices } from './bounce-choices.ts'
import { folderAt, offerBounceFolder } from './bounce-folder.ts'
import { BouncePreview } from './bounce-preview.tsx'
import { partWord, songRangeOf, TIMES_COMPLAINT } from './song-range-choice.ts'
import { SongRangeFields } from './song-range-fields.tsx'

const ENCODING_ITEMS: readonly { key: StemEncoding; name: string; detail: string }[] = [
  { key: 'pcm-24', name: '24-bit', detail: 'With TPDF dither' },
  { key: 'float-32', name: '32-bit float', detail: 'Not dithered' },
]

/** Asks for folder, encoding and layer stems, warns about unsaved chains, and starts the bounce. */
export function BounceDialog({ contents, onClose }: { contents: SessionContents; onClose: () => void }) {
  const { session } = contents
  const workplace = useQuery(workplaceQuery)
  const [choices, change] = useBounceChoices(session.id)
  const { encoding, layerStems } = choices
  const setFolder = (typed: string): void => change({ folder: typed })
  const { loop } = useSelection()
  const range = songRangeOf(choices, contents, loop, session.sampleRateHz)
  const part = partWord(choices.range, contents, loop)
  const offered =
    workplace.data === undefined ? '' : offerBounceFolder(workplace.data.bounceFolder, session, part)
  const folder = choices.folder ?? offered
  const target = folderAt(workplace.data?.cataloguePath ?? '', folder.trim())
  const solo = useSolo()
  const muted = contents.layers.filter((layer) => layer.muted).length
  const { chooseFolder } = bridge
  const missing = useMissingInStack()
  const unsaved = useUnsavedChains(contents)
  const rough = layerStems ? roughLayerStemsOf(contents) : null
  const [isSaving, setSaving] = useState(false)
  const voice = useVoiceOfDraft(contents, unsaved[0] ?? null)

  if (isSaving && unsaved[0] !== undefined && voice !== null) {
    return <SaveDialog draft={unsaved[0]} voice={voice} onClose={() => setSaving(false)} />
  }

  const submit = (event: FormEvent): void => {
    event.preventDefault()
    if (range === null) return
    onClose()
    const request = { sessionId: session.id, folder: target, encoding, layerStems, range }
    void bounce(session.songTitle, request).then((isDone) => {
      if (isDone) forgetBounceFolder(session.id)
    })
  }

  return (
    <Dialog title={`Bounce ${session.songTitle}`} isOpen onClose={onClose}>
      <form onSubmit={submit}>
        {unsaved.length === 0 ? null : (
          <div className="dialog-warning" role="note">
            <p>{sentenceOfUnsaved(unsaved)}</p>
            <Button isDisabled={voice === null} onPress={() => setSaving(true)}>
              Save first
            </Button>
          </div>
        )}
        {missing.length === 0 ? null : (
          <div className="dialog-warning" role="note">
            <p>{sentenceOfMissing(missing)}</p>
            <Button
              onPress={() => {
                onClose()
                findMissingTakes()
              }}
            >
              Find missing takes…
            </Button>
          </div>
        )}
        <div className={chooseFolder === null ? '' : 'bounce-folder'}>
          <TextField
            label="Folder"
            value={folder}
            onChange={setFolder}
            maxLength={MAX_PATH}
            // Enter in it bounces.
            autoFocus
            description={
              target === folder.trim()
                ? 'All stems have the same start and length. A manifest is written with them.'
                : `Written to ${target}`
            }
          />
          {chooseFolder === null ? null : (
            <Button
              onPress={() => void chooseFolder(folder.trim()).then((chosen) => setFolder(chosen ?? folder))}
            >
              Choose…
            </Button>
          )}
        </div>
        <Select
          label="Encoding"
          items={ENCODING_ITEMS}
          value={encoding}
          onChange={(key) => change({ encoding: key ?? 'pcm-24' })}
        />
        <SongRangeFields contents={contents} choices={choices} onChange={change} />
        <Checkbox isSelected={layerStems} onChange={(isOn) => change({ layerStems: isOn })}>
          Layer stems as well
        </Checkbox>
        {rough === null ? null : (
          <p className="bounce-solo" role="note">
            {rough}
          </p>
        )}
        {isSoloOn(solo) ? (
          <p className="bounce-solo" role="note">
            Solo is for listening only: the bounce holds every layer that is not muted
            {muted === 0 ? '' : ` (${countOf(muted, 'layer')} muted)`}.
          </p>
        ) : null}
        {range === null ? (
          <DialogFailure message={TIMES_COMPLAINT} />
        ) : (
          <BouncePreview sessionId={session.id} encoding={encoding} layerStems={layerStems} range={range} />
        )}
        <DialogButtons>
          <Button onPress={onClose}>Cancel</Button>
          <Button
            look="main"
            type="submit"
            isDisabled={folder.trim() === '' || missing.length > 0 || range === null}
          >
            {unsaved.length === 0 ? 'Bounce' : 'Bounce saved versions'}
          </Button>
        </DialogButtons>
      </form>
    </Dialog>
  )
}

function sentenceOfMissing(names: readonly string[]): string {
  const [are, them] = names.length === 1 ? ['1 take is', 'it'] : [`${names.length} takes are`, 'them']
  return `${are} missing: ${firstNames(names)}. Nothing is bounced without ${them}: find ${them}, or mute the layers.`
}

const sentenceOfUnsaved = (unsaved: readonly ChainDraft[]): string => {
  const names = unsaved.map(({ owner }) =>
    owner.groupId === null ? 'The shared chain' : `The chain of ${owner.name}`,
  )
  return unsaved.length === 1
    ? `${names[0]} has unsaved changes. A bounce uses saved versions only.`
    : `Unsaved changes: ${names.join(', ')}. A bounce uses saved versions only.`
}
