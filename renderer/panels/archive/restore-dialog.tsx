// Asks which archive is restored, and where its takes go.

import { useQuery } from '@tanstack/react-query'
import { type FormEvent, useState } from 'react'
import { restore } from '../../acts/exchange/archives.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons } from '../../parts/dialog.tsx'
import { workplaceQuery } from '../../state/queries.ts'
import { closeRestore, useRestoreIsOpen } from '../../state/restore-dialog.ts'
import { FolderField } from './folder-field.tsx'

/** The dialog, while it is open. */
export function RestoreArchive() {
  return useRestoreIsOpen() ? <RestoreDialog /> : null
}

function RestoreDialog() {
  const { data } = useQuery(workplaceQuery)
  const [bag, setBag] = useState('')
  const [typed, setTyped] = useState<string | null>(null)
  const takesFolder = typed ?? takesBeside(data?.cataloguePath ?? '')
  const isReady = bag.trim() !== '' && takesFolder.trim() !== ''
  const submit = (event: FormEvent): void => {
    event.preventDefault()
    if (!isReady) return
    void restore({ bag: bag.trim(), takesFolder: takesFolder.trim() })
    closeRestore()
  }
  return (
    <Dialog title="Restore from an archive" isOpen onClose={closeRestore}>
      <form onSubmit={submit}>
        <FolderField
          label="Archive"
          value={bag}
          onChange={setBag}
          autoFocus
          description="The folder takeloft-session-… that contains bagit.txt. All of it is checked first."
        />
        <FolderField
          label="Folder for takes"
          value={takesFolder}
          onChange={setTyped}
          description="Takes that are not there yet are copied to it. Nothing is overwritten."
        />
        <DialogButtons>
          <Button onPress={closeRestore}>Cancel</Button>
          <Button look="main" type="submit" isDisabled={!isReady}>
            Restore
          </Button>
        </DialogButtons>
      </form>
    </Dialog>
  )
}

/** The folder `takes` beside the catalogue. */
const takesBeside = (cataloguePath: string): string =>
  cataloguePath === '' ? '' : cataloguePath.replace(/[^/\\]*$/, 'takes')
