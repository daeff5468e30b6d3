// A further voice of the session's artist.

import { type FormEvent, useState } from 'react'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../../parts/dialog.tsx'
import { TextField } from '../../parts/fields/text-field.tsx'
import { client } from '../../state/connection.ts'
import { messageOf } from '../../state/notices.ts'

export interface NewVoiceDialogProps {
  readonly artistId: number
  readonly artistName: string
  readonly onClose: () => void
  readonly onMade: (voiceId: number) => void
}

export function NewVoiceDialog({ artistId, artistName, onClose, onMade }: NewVoiceDialogProps) {
  const [name, setName] = useState('')
  const [failure, setFailure] = useState<string | null>(null)

  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault()
    try {
      onMade((await client.createVoice({ artistId, name, note: '' })).id)
    } catch (error) {
      setFailure(messageOf(error))
    }
  }

  return (
    <Dialog title={`New voice of ${artistName}`} isOpen onClose={onClose}>
      <form onSubmit={(event) => void submit(event)}>
        <TextField label="Name" value={name} onChange={setName} autoFocus placeholder="Rap, sung, spoken" />
        <DialogFailure message={failure} />
        <DialogButtons>
          <Button onPress={onClose}>Cancel</Button>
          <Button look="main" type="submit" isDisabled={name.trim() === ''}>
            Create voice
          </Button>
        </DialogButtons>
      </form>
    </Dialog>
  )
}
