// What a delivery contains, in which format and under which names, with what will be written beside it. The delivery
// itself runs in the background.

import { keepPreviousData, useQuery } from '@tanstack/react-query'
import type { FormEvent } from 'react'
import { DELIVERY_RATES_HZ } from '../../../app/contract/delivery/delivery-request.ts'
import { NAME_TOKENS, templateFault } from '../../../app/contract/delivery/name-template.ts'
import type { SessionContents } from '../../../app/contract/entities.ts'
import { MAX_PATH } from '../../../app/contract/text/limits.ts'
import { formatRate } from '../../../app/words/format.ts'
import { firstNames } from '../../../app/words/missing-takes.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { deliver } from '../../acts/delivery-acts.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons } from '../../parts/dialog.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { TextField } from '../../parts/fields/text-field.tsx'
import { useUnsavedChains } from '../../state/chain/chain-draft.ts'
import { bridge } from '../../state/connection.ts'
import { findMissingTakes, useMissingInStack } from '../../state/missing-takes.ts'
import { messageOf } from '../../state/notices.ts'
import { deliveryPreviewQuery, workplaceQuery } from '../../state/queries.ts'
import { useSelection } from '../../state/selection.ts'
import { folderAt, splitPath } from '../bounce/bounce-folder.ts'
import { songRangeOf, TIMES_COMPLAINT } from '../bounce/song-range-choice.ts'
import { SongRangeFields } from '../bounce/song-range-fields.tsx'
import { type DeliveryChoices, requestOf, useDeliveryChoices } from './delivery-choices.ts'
import { DeliveryParts } from './delivery-parts.tsx'
import { DeliveryPreview } from './delivery-preview.tsx'
import './delivery.css'

const ENCODING_ITEMS: readonly { key: DeliveryChoices['encoding']; name: string; detail: string }[] = [
  { key: 'pcm-24', name: '24-bit', detail: 'With TPDF dither' },
  { key: 'pcm-16', name: '16-bit', detail: 'With TPDF dither' },
  { key: 'float-32', name: '32-bit float', detail: 'Not dithered' },
]

/** Folder of deliveries beside that of bounces. */
function offeredFolder(bounceFolder: string): string {
  const { folder } = splitPath(bounceFolder)
  return `${folder}${bounceFolder.includes('\\') && !bounceFolder.includes('/') ? '\\' : '/'}deliveries`
}

export function DeliveryDialog({ contents, onClose }: { contents: SessionContents; onClose: () => void }) {
  const { session } = contents
  const workplace = useQuery(workplaceQuery).data
  const [choices, change] = useDeliveryChoices(session.id)
  const folder = choices.folder ?? (workplace === undefined ? '' : offeredFolder(workplace.bounceFolder))
  const target = folderAt(workplace?.cataloguePath ?? '', folder.trim())
  const { loop } = useSelection()
  const range = songRangeOf(choices, contents, loop, session.sampleRateHz)
  const request = range === null ? null : requestOf(session.id, choices, range)
  const fault = templateFault(choices.template)
  const isEmpty = !Object.values(choices.contents).some((isIn) => isIn)
  const preview = useQuery({
    ...deliveryPreviewQuery(request ?? { sessionId: session.id }),
    enabled: request !== null && !isEmpty && fault === null,
    placeholderData: keepPreviousData,
    retry: false,
  })
  const missing = useMissingInStack()
  const unsaved = useUnsavedChains(contents)
  const { chooseFolder } = bridge
  const complaint =
    request === null
      ? TIMES_COMPLAINT
      : isEmpty
        ? 'Choose at least one part: stems, takes or the reference.'
        : fault !== null
          ? `These names cannot be used: ${fault}.`
          : preview.error === null
            ? null
            : messageOf(preview.error)
  const canDeliver = complaint === null && folder.trim() !== '' && missing.length === 0

  const submit = (event: FormEvent): void => {
    event.preventDefault()
    if (!canDeliver || request === null) return
    onClose()
    void deliver(session.songTitle, { ...request, folder: target })
  }

  return (
    <Dialog title={`Deliver ${session.songTitle}`} isOpen onClose={onClose} width="page">
      <form onSubmit={submit} className="delivery-form">
        <div className="delivery-choices">
          {unsaved.length === 0 ? null : (
            <p className="dialog-warning" role="note">
              {countOf(unsaved.length, 'chain has', 'chains have')} unsaved changes. A delivery uses saved
              versions only.
            </p>
          )}
          {missing.length === 0 ? null : (
            <div className="dialog-warning" role="note">
              <p>
                {countOf(missing.length, 'take is', 'takes are')} missing: {firstNames(missing)}. Nothing is
                delivered without {missing.length === 1 ? 'it' : 'them'}.
              </p>
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
          <DeliveryParts contents={choices.contents} onChange={(changed) => change({ contents: changed })} />
          <div className="dialog-row">
            <Select
              label="Sample rate"
              items={[
                { key: 0, name: `${formatRate(session.sampleRateHz)}, as the session` },
                ...DELIVERY_RATES_HZ.filter((rate) => rate !== session.sampleRateHz).map((rate) => ({
                  key: rate as number,
                  name: formatRate(rate),
                  detail: 'Converted',
                })),
              ]}
              value={choices.sampleRateHz ?? 0}
              onChange={(key) =>
                change({ sampleRateHz: DELIVERY_RATES_HZ.find((rate) => rate === key) ?? null })
              }
            />
            <Select
              label="Depth"
              items={ENCODING_ITEMS}
              value={choices.encoding}
              onChange={(key) => change({ encoding: key ?? 'pcm-24' })}
            />
          </div>
          <SongRangeFields contents={contents} choices={choices} onChange={change} />
          <TextField
            label="Names of files"
            value={choices.template}
            onChange={(template) => change({ template })}
            description={NAME_TOKENS.map((token) => `{${token}}`).join(' ')}
          />
          <div className={chooseFolder === null ? '' : 'bounce-folder'}>
            <TextField
              label="Folder"
              value={folder}
              onChange={(typed) => change({ folder: typed })}
              maxLength={MAX_PATH}
              // Enter in it delivers.
              autoFocus
              description={
                preview.data === undefined
                  ? 'Each delivery gets a numbered folder in it.'
                  : `Written to ${preview.data.folderName}${target === folder.trim() ? '' : ` in ${target}`}`
              }
            />
            {chooseFolder === null ? null : (
              <Button
                onPress={() =>
                  void chooseFolder(folder.trim()).then((chosen) => change({ folder: chosen ?? folder }))
                }
              >
                Choose…
              </Button>
            )}
          </div>
        </div>
        <DeliveryPreview
          preview={preview.data}
          complaint={complaint}
          printsPdf={workplace?.printsPdf ?? true}
        />
        <DialogButtons>
          <Button onPress={onClose}>Cancel</Button>
          <Button look="main" type="submit" isDisabled={!canDeliver}>
            {unsaved.length === 0 ? 'Deliver' : 'Deliver saved versions'}
          </Button>
        </DialogButtons>
      </form>
    </Dialog>
  )
}
