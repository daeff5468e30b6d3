// A microphone as the engineer names it.

import { type FormEvent, useState } from 'react'
import { PolarPattern } from '../../app/contract/entities.ts'
import { Button } from '../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../parts/dialog.tsx'
import { Select } from '../parts/select.tsx'
import { TextField } from '../parts/text-field.tsx'
import { client } from '../state/connection.ts'
import { messageOf } from '../state/notices.ts'

type Pattern = (typeof PolarPattern.options)[number]

export function NewMicDialog({ onClose, onMade }: { onClose: () => void; onMade: (micId: number) => void }) {
  const [name, setName] = useState('')
  const [serial, setSerial] = useState('')
  const [pattern, setPattern] = useState<Pattern>('cardioid')
  const [note, setNote] = useState('')
  const [failure, setFailure] = useState<string | null>(null)

  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault()
    try {
      const mic = await client.createMic({ name, serial, pattern, note })
      onMade(mic.id)
    } catch (error) {
      setFailure(messageOf(error))
    }
  }

  return (
    <Dialog title="New mic" isOpen onClose={onClose}>
      <form onSubmit={(event) => void submit(event)}>
        <TextField label="Name" value={name} onChange={setName} autoFocus placeholder="As you call it" />
        <div className="dialog-row">
          <TextField label="Serial number" value={serial} onChange={setSerial} maxLength={100} />
          <Select
            label="Polar pattern"
            items={PolarPattern.options.map((key) => ({ key, name: key }))}
            value={pattern}
            onChange={(key) => setPattern(key ?? 'unknown')}
          />
        </div>
        <TextField label="Note" value={note} onChange={setNote} isMultiline maxLength={10_000} />
        <DialogFailure message={failure} />
        <DialogButtons>
          <Button onPress={onClose}>Cancel</Button>
          <Button look="main" type="submit" isDisabled={name.trim() === ''}>
            Create mic
          </Button>
        </DialogButtons>
      </form>
    </Dialog>
  )
}
