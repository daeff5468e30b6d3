// Asks where a session is archived.

import { useQuery } from '@tanstack/react-query'
import { type FormEvent, useState } from 'react'
import type { Session } from '../../../app/contract/entities.ts'
import { archive } from '../../acts/exchange/archives.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons } from '../../parts/dialog.tsx'
import { workplaceQuery } from '../../state/queries.ts'
import { FolderField } from './folder-field.tsx'

export function ArchiveDialog({ session, onClose }: { session: Session; onClose: () => void }) {
  const { data } = useQuery(workplaceQuery)
  const [typed, setTyped] = useState<string | null>(null)
  const folder = typed ?? data?.archiveFolder ?? ''
  const submit = (event: FormEvent): void => {
    event.preventDefault()
    if (folder.trim() === '') return
    void archive(session.songTitle, { sessionId: session.id, folder: folder.trim() })
    onClose()
  }
  return (
    <Dialog title={`Archive ${session.songTitle}`} isOpen onClose={onClose}>
      <form onSubmit={submit}>
        <p>
          Takes, stems and history go into one folder that can be checked and restored without Takeloft (BagIt
          1.0). Files that have not changed since an older archive there share its place on the disk.
        </p>
        <FolderField
          label="Folder for archives"
          value={folder}
          onChange={setTyped}
          autoFocus
          description="Best on another disk than the takes."
        />
        <DialogButtons>
          <Button onPress={onClose}>Cancel</Button>
          <Button look="main" type="submit" isDisabled={folder.trim() === ''}>
            Archive
          </Button>
        </DialogButtons>
      </form>
    </Dialog>
  )
}
