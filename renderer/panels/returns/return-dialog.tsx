// The artist returns: song, today's mic and files; everything else is filled in from the last session.

import { useQuery } from '@tanstack/react-query'
import { type FormEvent, useState } from 'react'
import { FileTrigger } from 'react-aria-components'
import { formatDate } from '../../../app/words/format.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { beginReturn } from '../../acts/return-acts.ts'
import { withOnlyCurve } from '../../acts/take-acts.ts'
import { TAKE_TYPES } from '../../formats/folder-names.ts'
import { today } from '../../formats/new-session.ts'
import { curveOf, followable, leadTakeOf } from '../../formats/recall/returning.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../../parts/dialog.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { TextField } from '../../parts/fields/text-field.tsx'
import { useFileDrop } from '../../parts/use-file-drop.ts'
import { messageOf } from '../../state/notices.ts'
import {
  chainVersionsQuery,
  curvesQuery,
  micsQuery,
  sessionChainsQuery,
  sessionContentsQuery,
  sessionsQuery,
  voicesQuery,
} from '../../state/queries.ts'
import './returns.css'

export interface ReturnDialogProps {
  readonly artistId: number
  readonly artistName: string
  readonly onClose: () => void
  /** Called when the session is there. */
  readonly onBegun?: () => void
}

export function ReturnDialog({ artistId, artistName, onClose, onBegun }: ReturnDialogProps) {
  const sessions = useQuery(sessionsQuery).data ?? []
  const chains = useQuery(sessionChainsQuery).data ?? []
  const voices = useQuery(voicesQuery(artistId)).data ?? []
  const mics = useQuery(micsQuery).data ?? []
  const curves = useQuery(curvesQuery).data ?? []
  const earlier = followable(sessions, chains, artistId)
  const [chosenId, setChosenId] = useState<number | null>(null)
  const then = earlier.find(({ id }) => id === chosenId) ?? earlier[0]
  const contents = useQuery({
    ...sessionContentsQuery(then?.id ?? 0),
    enabled: then !== undefined,
  }).data
  const takeThen = contents === undefined ? undefined : leadTakeOf(contents)
  const versionThen = contents?.chainVersions[0]
  const versions = useQuery({
    ...chainVersionsQuery(versionThen?.chainId ?? 0),
    enabled: versionThen !== undefined,
  }).data
  const [songTitle, setSongTitle] = useState('')
  const [date, setDate] = useState(today)
  const [chosenVoice, setVoice] = useState<number | null>(null)
  const [chosenMic, setMic] = useState<number | null>(null)
  const [pinnedVersionId, setPinned] = useState<number | null>(null)
  const [files, setFiles] = useState<readonly File[]>([])
  const [failure, setFailure] = useState<string | null>(null)
  const [isBusy, setBusy] = useState(false)
  const drop = useFileDrop(setFiles)
  const voiceId = chosenVoice ?? takeThen?.voiceId ?? (voices.length === 1 ? voices[0]!.id : null)
  const micId = chosenMic ?? takeThen?.micId ?? null
  const micThen = mics.find(({ id }) => id === takeThen?.micId)

  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault()
    if (then === undefined) return
    setBusy(true)
    try {
      // The same curve where the mic is that of then.
      const mic =
        micId === takeThen?.micId ? { micId, curveId: takeThen.curveId } : withOnlyCurve(micId, curves)
      const settings = { voiceId, micId: mic.micId, curveId: mic.curveId ?? curveOf(mic, curves) }
      await beginReturn({ artistId, thenId: then.id, pinnedVersionId, songTitle, date, settings, files })
      onClose()
      onBegun?.()
    } catch (error) {
      setFailure(messageOf(error))
      setBusy(false)
    }
  }

  return (
    <Dialog title={`${artistName} returns`} isOpen onClose={onClose}>
      <form onSubmit={(event) => void submit(event)} {...drop}>
        <div className="dialog-row">
          <TextField label="Song" value={songTitle} onChange={setSongTitle} autoFocus />
          <TextField label="Date" type="date" value={date} onChange={setDate} />
        </div>
        <div className="dialog-row">
          <Select
            label="Voice"
            items={voices.map(({ id, name }) => ({ key: id, name }))}
            value={voiceId}
            onChange={setVoice}
          />
          <Select
            label="Mic of today"
            items={mics.map(({ id, name, serial }) => ({
              key: id,
              name,
              detail: id === micThen?.id ? 'As then' : serial,
            }))}
            value={micId}
            onChange={setMic}
          />
        </div>
        <div className="dialog-row">
          <Select
            label="Sound as in"
            items={earlier.map((one) => ({
              key: one.id,
              name: `${formatDate(one.date)}: ${one.songTitle}`,
            }))}
            value={then?.id ?? null}
            onChange={(id) => {
              setChosenId(id)
              setPinned(null)
            }}
          />
          {versionThen === undefined ? null : (
            <Select
              label={`Version of ${versionThen.chainName}`}
              items={(versions ?? [versionThen]).map(({ id, number, note }) => ({
                key: id,
                name: `Version ${number}${id === versionThen.id ? ', as then' : ''}`,
                detail: note,
              }))}
              value={pinnedVersionId ?? versionThen.id}
              onChange={(id) => setPinned(id === versionThen.id ? null : id)}
            />
          )}
        </div>
        <div className="return-files">
          <FileTrigger
            allowsMultiple
            acceptedFileTypes={[...TAKE_TYPES, 'audio/*']}
            onSelect={(list) => setFiles(list === null ? [] : [...list])}
          >
            <Button>Choose today’s files</Button>
          </FileTrigger>
          <span className="soft" role="status">
            {files.length === 0
              ? 'Or drop them here. Their names tell their roles: lead, double, ad-lib, harmony.'
              : files.map(({ name }) => name).join(', ')}
          </span>
        </div>
        <DialogFailure message={failure} />
        <DialogButtons>
          <Button onPress={onClose}>Cancel</Button>
          <Button
            look="main"
            type="submit"
            isDisabled={
              songTitle.trim() === '' || date === '' || files.length === 0 || then === undefined || isBusy
            }
          >
            {files.length === 0 ? 'Begin' : `Begin with ${countOf(files.length, 'file')}`}
          </Button>
        </DialogButtons>
      </form>
    </Dialog>
  )
}
