// Asks where a voice is written to, and says what the file contains.

import { useQuery } from '@tanstack/react-query'
import { type FormEvent, useState } from 'react'
import { MAX_NAME, MAX_PATH } from '../../../app/contract/text/limits.ts'
import { isoDateOf } from '../../../app/words/format.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { exportVoice } from '../../acts/exchange/voices.ts'
import { exchangeFileName } from '../../formats/book/exchange-words.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../../parts/dialog.tsx'
import { TextField } from '../../parts/fields/text-field.tsx'
import { messageOf } from '../../state/notices.ts'
import { voiceBookQuery, workplaceQuery } from '../../state/queries.ts'
import { FolderField } from '../archive/folder-field.tsx'
import { folderAt, splitPath } from '../bounce/bounce-folder.ts'

interface ExportVoiceDialogProps {
  readonly voiceId: number
  readonly voiceName: string
  readonly artistName: string
  readonly onClose: () => void
}

/** Stays open with what was typed when the file cannot be written. */
export function ExportVoiceDialog({ voiceId, voiceName, artistName, onClose }: ExportVoiceDialogProps) {
  const cataloguePath = useQuery(workplaceQuery).data?.cataloguePath ?? ''
  const { data: book } = useQuery(voiceBookQuery(voiceId))
  const [typedFolder, setFolder] = useState<string | null>(null)
  const [file, setFile] = useState(() =>
    exchangeFileName(artistName, voiceName, isoDateOf(new Date().toISOString())),
  )
  const [failure, setFailure] = useState<string | null>(null)
  const [isWriting, setWriting] = useState(false)
  const folder = typedFolder ?? splitPath(cataloguePath).folder
  const path = folderAt(cataloguePath, `${folder.trim()}/${file.trim()}`)
  const isReady = folder.trim() !== '' && file.trim() !== '' && !isWriting
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault()
    if (!isReady) return
    setFailure(null)
    setWriting(true)
    try {
      await exportVoice(voiceId, `${artistName}, ${voiceName}`, path)
      onClose()
    } catch (error) {
      setFailure(messageOf(error))
      setWriting(false)
    }
  }
  const versions = book?.chains.reduce((sum, chain) => sum + chain.versions.length, 0) ?? 0
  return (
    <Dialog title={`Export ${artistName}, ${voiceName}`} isOpen onClose={onClose}>
      <form onSubmit={(event) => void submit(event)}>
        <p>
          {book === undefined
            ? 'One file for another computer'
            : `One file for another computer: ${countOf(book.sessions.length, 'session')}, ${countOf(versions, 'chain version')}`}
          , with mics, curves, songs, stacks and notes, without sound. Copy the takes as well, or archive the
          sessions.
        </p>
        <FolderField
          label="Folder"
          value={folder}
          onChange={setFolder}
          description="An existing folder, for example on a removable disk."
        />
        <TextField
          label="Name of the file"
          value={file}
          onChange={setFile}
          maxLength={MAX_NAME}
          autoFocus
          description="Nothing is overwritten: a name that is taken is refused."
        />
        <DialogFailure message={failure ?? (path.length > MAX_PATH ? 'This path is too long.' : null)} />
        <DialogButtons>
          <Button onPress={onClose}>Cancel</Button>
          <Button look="main" type="submit" isDisabled={!isReady}>
            Export
          </Button>
        </DialogButtons>
      </form>
    </Dialog>
  )
}
