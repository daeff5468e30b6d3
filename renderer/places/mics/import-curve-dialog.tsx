// A curve from a file or pasted: two columns, frequency in Hz and level in dB.

import { type FormEvent, useState } from 'react'
import { FileTrigger } from 'react-aria-components'
import type { Mic } from '../../../app/contract/entities.ts'
import { decodeText } from '../../../app/contract/text/decode-text.ts'
import { MAX_CURVE_BYTES, MAX_CURVE_CHARACTERS } from '../../../app/contract/text/limits.ts'
import { importCurve } from '../../acts/mic-acts.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../../parts/dialog.tsx'
import { TextField } from '../../parts/fields/text-field.tsx'
import { messageOf, remark } from '../../state/notices.ts'
import { type CurveAbout, CurveFields, patternOf } from './curve-fields.tsx'

export interface ImportCurveDialogProps {
  readonly mics: readonly Mic[]
  /** null: a target that belongs to no mic. */
  readonly micId: number | null
  readonly onClose: () => void
  readonly onImported: (curveId: number) => void
}

export function ImportCurveDialog(props: ImportCurveDialogProps) {
  const [about, setAbout] = useState<CurveAbout>({
    micId: props.micId,
    name: '',
    source: 'data sheet',
    pattern: patternOf(props.mics, props.micId),
    distanceM: null,
    note: '',
  })
  const [text, setText] = useState('')
  const [isBusy, setBusy] = useState(false)
  const [failure, setFailure] = useState<string | null>(null)
  const change = (changes: Partial<CurveAbout>): void => setAbout((now) => ({ ...now, ...changes }))

  const readFile = async (file: File | undefined): Promise<void> => {
    if (file === undefined) return
    try {
      const tooLong = `${file.name} is longer than a curve can be; export fewer points, 96 to the octave are plenty.`
      if (file.size > MAX_CURVE_BYTES) return setFailure(tooLong)
      const contents = decodeText(new Uint8Array(await file.arrayBuffer()))
      if (contents.length > MAX_CURVE_CHARACTERS) return setFailure(tooLong)
      setFailure(null)
      setText(contents)
      setAbout((now) => (now.name === '' ? { ...now, name: file.name.replace(/\.[^.]+$/, '') } : now))
    } catch (error) {
      setFailure(`${file.name} could not be read: ${messageOf(error)}`)
    }
  }

  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault()
    setBusy(true)
    try {
      const { curve, remarks } = await importCurve({ ...about, text })
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
        <CurveFields about={about} onChange={change} mics={props.mics} />
        <div className="curve-text">
          <TextField
            label="Points"
            value={text}
            onChange={setText}
            isMultiline
            maxLength={MAX_CURVE_CHARACTERS}
            placeholder={'20, -3.5\n1000, 0\n10000, 2.1'}
            description="One point a line: frequency in Hz or kHz, level in dB, apart by comma, semicolon, tab or space. A head line and decimal commas are understood."
          />
          <FileTrigger
            acceptedFileTypes={['.csv', '.txt', '.tsv', 'text/plain', 'text/csv']}
            onSelect={(files) => void readFile(files?.[0])}
          >
            <Button>Read from a file</Button>
          </FileTrigger>
        </div>
        <DialogFailure message={failure} />
        <DialogButtons>
          <Button onPress={props.onClose}>Cancel</Button>
          <Button
            look="main"
            type="submit"
            isDisabled={isBusy || about.name.trim() === '' || text.trim() === ''}
          >
            Import curve
          </Button>
        </DialogButtons>
      </form>
    </Dialog>
  )
}
