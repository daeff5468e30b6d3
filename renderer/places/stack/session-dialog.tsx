// Session settings: date, start, tempo and metre, pan law, notes.

import { type FormEvent, useState } from 'react'
import type { Session } from '../../../app/contract/entities.ts'
import { MAX_NOTE } from '../../../app/contract/text/limits.ts'
import { formatRate } from '../../../app/words/format.ts'
import { tryChangeSession } from '../../acts/stack-acts.ts'
import { PAN_LAW_ITEMS } from '../../panels/session/new-session-dialog.tsx'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../../parts/dialog.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { StartField } from '../../parts/fields/start-field.tsx'
import { TempoFields, type TempoSettings } from '../../parts/fields/tempo-fields.tsx'
import { TextField } from '../../parts/fields/text-field.tsx'
import { messageOf } from '../../state/notices.ts'

/** Edits date, start, pan law, tempo, metre and notes of a session. */
export function SessionDialog({ session, onClose }: { session: Session; onClose: () => void }) {
  const [date, setDate] = useState(session.date)
  const [tempo, setTempo] = useState<TempoSettings>(() => {
    const { tempoBpm, beatsPerBar, beatUnit, tempoChanges } = session
    return { tempoBpm, beatsPerBar, beatUnit, tempoChanges }
  })
  const [panLaw, setPanLaw] = useState(session.panLaw)
  const [startOfDayS, setStartOfDayS] = useState(session.startOfDayS)
  const [notes, setNotes] = useState(session.notes)
  const [failure, setFailure] = useState<string | null>(null)

  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault()
    const wanted = { date, ...tempo, panLaw, startOfDayS, notes }
    setFailure(null)
    const changes = Object.fromEntries(
      Object.entries(wanted).filter(([key, value]) => session[key as keyof typeof wanted] !== value),
    )
    if (Object.keys(changes).length === 0) return onClose()
    try {
      await tryChangeSession(session, changes, 'session settings')
      onClose()
    } catch (error) {
      setFailure(messageOf(error))
    }
  }

  return (
    <Dialog title="Session settings" isOpen onClose={onClose}>
      <p className="soft">
        {session.artistName}, {session.songTitle}, {formatRate(session.sampleRateHz)}
      </p>
      <form onSubmit={(event) => void submit(event)}>
        <div className="dialog-row">
          <TextField label="Date" type="date" value={date} onChange={setDate} />
          <StartField value={startOfDayS} onChange={setStartOfDayS} />
          <Select
            label="Pan law"
            items={PAN_LAW_ITEMS}
            value={panLaw}
            onChange={(law) => setPanLaw(law ?? session.panLaw)}
          />
        </div>
        <TempoFields settings={tempo} onChange={setTempo} />
        <TextField label="Notes" value={notes} onChange={setNotes} isMultiline maxLength={MAX_NOTE} />
        <DialogFailure message={failure} />
        <DialogButtons>
          <Button onPress={onClose}>Cancel</Button>
          <Button look="main" type="submit" isDisabled={date === ''}>
            Save
          </Button>
        </DialogButtons>
      </form>
    </Dialog>
  )
}
