// What to bounce and where to; the work itself goes on behind the window.

import { useQuery } from '@tanstack/react-query'
import { type FormEvent, useState } from 'react'
import type { StemEncoding } from '../../app/contract/commands.ts'
import type { Session } from '../../app/contract/entities.ts'
import { Button } from '../parts/button.tsx'
import { Checkbox } from '../parts/checkbox.tsx'
import { Dialog, DialogButtons } from '../parts/dialog.tsx'
import { Select } from '../parts/select.tsx'
import { TextField } from '../parts/text-field.tsx'
import { workplaceQuery } from '../state/queries.ts'
import { bounce } from './bounce-acts.ts'
import { offerBounceFolder } from './bounce-folder.ts'

const ENCODING_ITEMS: readonly { key: StemEncoding; name: string; detail: string }[] = [
  { key: 'pcm-24', name: '24-bit', detail: 'With TPDF dither' },
  { key: 'float-32', name: '32-bit float', detail: 'Nothing rounded' },
]

export function BounceDialog({ session, onClose }: { session: Session; onClose: () => void }) {
  const workplace = useQuery(workplaceQuery)
  const [typedFolder, setFolder] = useState<string | null>(null)
  const [encoding, setEncoding] = useState<StemEncoding>('pcm-24')
  const [layerStems, setLayerStems] = useState(false)
  const offered = workplace.data === undefined ? '' : offerBounceFolder(workplace.data.bounceFolder, session)
  const folder = typedFolder ?? offered

  const submit = (event: FormEvent): void => {
    event.preventDefault()
    onClose()
    void bounce(session.songTitle, { sessionId: session.id, folder: folder.trim(), encoding, layerStems })
  }

  return (
    <Dialog title={`Bounce ${session.songTitle}`} isOpen onClose={onClose}>
      <form onSubmit={submit}>
        <TextField
          label="Folder"
          value={folder}
          onChange={setFolder}
          maxLength={4096}
          description="All stems start together and have one length; a manifest is written beside them."
        />
        <Select
          label="Encoding"
          items={ENCODING_ITEMS}
          value={encoding}
          onChange={(key) => setEncoding(key ?? 'pcm-24')}
        />
        <Checkbox isSelected={layerStems} onChange={setLayerStems}>
          A stem for each layer as well
        </Checkbox>
        <DialogButtons>
          <Button onPress={onClose}>Cancel</Button>
          <Button look="main" type="submit" isDisabled={folder.trim() === ''}>
            Bounce
          </Button>
        </DialogButtons>
      </form>
    </Dialog>
  )
}
