// A curve from a file or pasted: two columns, frequency in Hz and level in dB.

import { type FormEvent, useState } from 'react'
import { FileTrigger } from 'react-aria-components'
import { CurveSource, type Mic } from '../../app/contract/entities.ts'
import { Button } from '../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../parts/dialog.tsx'
import { NumberField } from '../parts/number-field.tsx'
import { Select } from '../parts/select.tsx'
import { TextField } from '../parts/text-field.tsx'
import { client } from '../state/connection.ts'
import { messageOf, remark } from '../state/notices.ts'

type Source = (typeof CurveSource.options)[number]

export interface ImportCurveDialogProps {
  readonly mics: readonly Mic[]
  /** null: a target that belongs to no mic. */
  readonly micId: number | null
  readonly onClose: () => void
  readonly onImported: (curveId: number) => void
}

export function ImportCurveDialog(props: ImportCurveDialogProps) {
  const [micId, setMicId] = useState(props.micId)
  const [name, setName] = useState('')
  const [source, setSource] = useState<Source>('data sheet')
  const [distanceM, setDistanceM] = useState<number | null>(null)
  const [text, setText] = useState('')
  const [isBusy, setBusy] = useState(false)
  const [failure, setFailure] = useState<string | null>(null)

  const readFile = async (file: File | undefined): Promise<void> => {
    if (file === undefined) return
    try {
      setText(await file.text())
      setName((now) => (now === '' ? file.name.replace(/\.[^.]+$/, '') : now))
    } catch (error) {
      setFailure(`${file.name} could not be read: ${messageOf(error)}`)
    }
  }

  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault()
    setBusy(true)
    try {
      const { curve, remarks } = await client.importCurve({
        micId,
        name,
        source,
        pattern: 'unknown',
        distanceM,
        note: '',
        text,
      })
      if (remarks.length > 0) remark(`Curve ${curve.name} imported`, ...remarks)
      props.onImported(curve.id)
      props.onClose()
    } catch (error) {
      setFailure(messageOf(error))
    } finally {
      setBusy(false)
    }
  }

  return (
    <Dialog title="Import a curve" isOpen onClose={props.onClose} width="wide">
      <form onSubmit={(event) => void submit(event)}>
        <div className="dialog-row">
          <Select
            label="Curve of"
            items={props.mics.map((mic) => ({ key: mic.id, name: mic.name }))}
            none="No mic, a target"
            value={micId}
            onChange={setMicId}
          />
          <TextField label="Name" value={name} onChange={setName} placeholder="On axis, 0.3 m" />
        </div>
        <div className="dialog-row">
          <Select
            label="Where it comes from"
            items={CurveSource.options.map((key) => ({ key, name: key }))}
            value={source}
            onChange={(key) => setSource(key ?? 'own')}
          />
          <NumberField
            label="Distance"
            value={distanceM}
            unit="m"
            min={0.01}
            max={100}
            step={0.05}
            places={2}
            onChange={setDistanceM}
            onClear={() => setDistanceM(null)}
            placeholder="Not known"
          />
        </div>
        <div className="curve-text">
          <TextField
            label="Points"
            value={text}
            onChange={setText}
            isMultiline
            maxLength={4_000_000}
            placeholder={'20, -3.5\n1000, 0\n10000, 2.1'}
            description="One point a line: frequency in Hz, level in dB, apart by comma, semicolon, tab or space."
          />
          <FileTrigger
            acceptedFileTypes={['.csv', '.txt', '.frd', '.tsv', 'text/plain', 'text/csv']}
            onSelect={(files) => void readFile(files?.[0])}
          >
            <Button>Read from a file</Button>
          </FileTrigger>
        </div>
        <DialogFailure message={failure} />
        <DialogButtons>
          <Button onPress={props.onClose}>Cancel</Button>
          <Button look="main" type="submit" isDisabled={isBusy || name.trim() === '' || text.trim() === ''}>
            Import curve
          </Button>
        </DialogButtons>
      </form>
    </Dialog>
  )
}
