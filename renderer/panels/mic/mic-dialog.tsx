// A mic: name, serial number, polar pattern, note.

import { type FormEvent, useState } from 'react'
import { type Mic, PolarPattern } from '../../../app/contract/entities.ts'
import { MAX_NOTE, MAX_SERIAL } from '../../../app/contract/text/limits.ts'
import { addMic, changeMic } from '../../acts/mic-acts.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../../parts/dialog.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { TextField } from '../../parts/fields/text-field.tsx'
import { messageOf } from '../../state/notices.ts'

type Pattern = (typeof PolarPattern.options)[number]

export interface MicDialogProps {
  /** null creates a mic. */
  readonly mic: Mic | null
  readonly onClose: () => void
  readonly onMade: (micId: number) => void
}

/** Creates or edits a mic. */
export function MicDialog({ mic, onClose, onMade }: MicDialogProps) {
  const [name, setName] = useState(mic?.name ?? '')
  const [serial, setSerial] = useState(mic?.serial ?? '')
  const [pattern, setPattern] = useState<Pattern>(mic?.pattern ?? 'cardioid')
  const [note, setNote] = useState(mic?.note ?? '')
  const [failure, setFailure] = useState<string | null>(null)

  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault()
    const fields = { name, serial, pattern, note }
    if (mic !== null) {
      if (await changeMic(mic, fields)) onClose()
      return
    }
    try {
      onMade((await addMic(fields)).id)
    } catch (error) {
      setFailure(messageOf(error))
    }
  }

  return (
    <Dialog title={mic === null ? 'New mic' : 'Edit mic'} isOpen onClose={onClose}>
      <form onSubmit={(event) => void submit(event)}>
        <TextField label="Name" value={name} onChange={setName} autoFocus placeholder="Name you use" />
        <div className="dialog-row">
          <TextField label="Serial number" value={serial} onChange={setSerial} maxLength={MAX_SERIAL} />
          <Select
            label="Polar pattern"
            items={PolarPattern.options.map((key) => ({ key, name: key }))}
            value={pattern}
            onChange={(key) => setPattern(key ?? 'unknown')}
          />
        </div>
        <TextField label="Note" value={note} onChange={setNote} isMultiline maxLength={MAX_NOTE} />
        <DialogFailure message={failure} />
        <DialogButtons>
          <Button onPress={onClose}>Cancel</Button>
          <Button look="main" type="submit" isDisabled={name.trim() === ''}>
            {mic === null ? 'Create mic' : 'Save'}
          </Button>
        </DialogButtons>
      </form>
    </Dialog>
  )
}
