// Creates artist, voice, song and session together. An existing artist is selected from a list.

import { useQuery } from '@tanstack/react-query'
import { type FormEvent, useState } from 'react'
import { type PanLaw, SESSION_RATES_HZ } from '../../../app/contract/entities.ts'
import { MAX_NOTE } from '../../../app/contract/text/limits.ts'
import { formatRate } from '../../../app/words/format.ts'
import { PAN_LAW_WORDS } from '../../../app/words/pan-law.ts'
import { chooseNewSession } from '../../acts/choose-new-session.ts'
import { createSession } from '../../acts/people-acts.ts'
import { NEW_SESSION_START_S, today } from '../../formats/new-session.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../../parts/dialog.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { StartField } from '../../parts/fields/start-field.tsx'
import { NO_TEMPO, TempoFields, type TempoSettings } from '../../parts/fields/tempo-fields.tsx'
import { TextField } from '../../parts/fields/text-field.tsx'
import { messageOf } from '../../state/notices.ts'
import { artistsQuery } from '../../state/queries.ts'
import { goTo } from '../../state/selection.ts'

/** Choices for the pan law of a session. */
export const PAN_LAW_ITEMS: readonly { key: PanLaw; name: string; detail: string }[] = [
  { key: 'minus-3-db', name: PAN_LAW_WORDS['minus-3-db'], detail: 'At the centre' },
  { key: 'minus-4.5-db', name: PAN_LAW_WORDS['minus-4.5-db'], detail: 'At the centre' },
  { key: 'minus-6-db', name: PAN_LAW_WORDS['minus-6-db'], detail: 'At the centre' },
]

export interface NewSessionDialogProps {
  /** Artist of the current session, preselected; null without a session. */
  readonly artistId?: number | null
  readonly onClose: () => void
}

/** Creates a session, with its artist and voice if they are new, then opens it in Intake. */
export function NewSessionDialog({ artistId: present = null, onClose }: NewSessionDialogProps) {
  const artists = useQuery(artistsQuery).data ?? []
  const [artistId, setArtistId] = useState<number | null>(present)
  const [artistName, setArtistName] = useState('')
  const [voiceName, setVoiceName] = useState('')
  const [songTitle, setSongTitle] = useState('')
  const [date, setDate] = useState(today)
  const [rateHz, setRateHz] = useState<(typeof SESSION_RATES_HZ)[number]>(48_000)
  const [tempo, setTempo] = useState<TempoSettings>(NO_TEMPO)
  const [panLaw, setPanLaw] = useState<PanLaw>('minus-3-db')
  const [startOfDayS, setStartOfDayS] = useState(NEW_SESSION_START_S)
  const [notes, setNotes] = useState('')
  const [isBusy, setBusy] = useState(false)
  const [failure, setFailure] = useState<string | null>(null)

  const create = async (): Promise<void> => {
    const sessionId = await createSession({
      artistId,
      artistName,
      voiceName,
      fields: {
        songTitle,
        date,
        sampleRateHz: rateHz,
        ...tempo,
        notes,
        panLaw,
        startOfDayS,
        chainSharing: 'own',
      },
    })
    await chooseNewSession(sessionId)
    goTo('intake')
  }

  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault()
    setBusy(true)
    try {
      await create()
      onClose()
    } catch (error) {
      setFailure(messageOf(error))
    } finally {
      setBusy(false)
    }
  }

  const isNewArtist = artistId === null
  const isComplete =
    songTitle.trim() !== '' && (!isNewArtist || (artistName.trim() !== '' && voiceName.trim() !== ''))
  return (
    <Dialog title={artists.length === 0 ? 'New artist and session' : 'New session'} isOpen onClose={onClose}>
      <form onSubmit={(event) => void submit(event)}>
        {artists.length === 0 ? null : (
          <Select
            label="Artist"
            items={artists.map(({ id, name }) => ({ key: id, name }))}
            none="New artist"
            value={artistId}
            onChange={setArtistId}
          />
        )}
        <div className="dialog-row">
          {isNewArtist ? (
            <TextField
              label="Artist name"
              value={artistName}
              onChange={setArtistName}
              autoFocus
              placeholder="Name you use"
            />
          ) : null}
          <TextField
            label={isNewArtist ? 'Voice' : 'New voice (optional)'}
            value={voiceName}
            onChange={setVoiceName}
            placeholder="Rap, sung, spoken"
          />
        </div>
        <div className="dialog-row">
          <TextField label="Song" value={songTitle} onChange={setSongTitle} autoFocus={!isNewArtist} />
          <TextField label="Date" type="date" value={date} onChange={setDate} />
        </div>
        <div className="dialog-row">
          <Select
            label="Sample rate"
            items={SESSION_RATES_HZ.map((rate) => ({ key: rate, name: formatRate(rate) }))}
            value={rateHz}
            onChange={(rate) => setRateHz(rate ?? 48_000)}
          />
          <Select
            label="Pan law"
            items={PAN_LAW_ITEMS}
            value={panLaw}
            onChange={(law) => setPanLaw(law ?? 'minus-3-db')}
          />
          <StartField value={startOfDayS} onChange={setStartOfDayS} />
        </div>
        <TempoFields settings={tempo} onChange={setTempo} />
        <TextField label="Notes" value={notes} onChange={setNotes} isMultiline maxLength={MAX_NOTE} />
        <DialogFailure message={failure} />
        <DialogButtons>
          <Button onPress={onClose}>Cancel</Button>
          <Button look="main" type="submit" isDisabled={!isComplete || isBusy || date === ''}>
            Create session
          </Button>
        </DialogButtons>
      </form>
    </Dialog>
  )
}
