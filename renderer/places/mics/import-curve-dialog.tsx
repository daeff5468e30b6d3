// Import of a curve from a file or pasted text: two columns, frequency and level.

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
import { type CurveAbout, CurveFields, patternOf } from './curves/curve-fields.tsx'

export interface ImportCurveDialogProps {
  readonly mics: readonly Mic[]
  /** null for a target curve. */
  readonly micId: number | null
  readonly onClose: () => void
  readonly onImported: (curveId: number) => void
}

/** Imports a curve from text or a file; the import can be undone. */
export function ImportCurveDialog(props: ImportCurveDialogProps) {
  const [typed, setAbout] = useState<Omit<CurveAbout, 'pattern'> & { pattern: CurveAbout['pattern'] | null }>(
    {
      micId: props.micId,
      name: '',
      source: 'data sheet',
      // The mic's, which may be read only after this has opened.
      pattern: null,
      distanceM: null,
      note: '',
    },
  )
  const about: CurveAbout = { ...typed, pattern: typed.pattern ?? patternOf(props.mics, typed.micId) }
  const [text, setText] = useState('')
  const [isBusy, setBusy] = useState(false)
  const [failure, setFailure] = useState<string | null>(null)
  const change = (changes: Partial<CurveAbout>): void => setAbout((now) => ({ ...now, ...changes }))

  const readFile = async (file: File | undefined): Promise<void> => {
    if (file === undefined) return
    try {
      const tooLong = `${file.name} is too long for a curve. Export fewer points; 96 per octave is plenty.`
      if (file.size > MAX_CURVE_BYTES) return setFailure(tooLong)
      const contents = decodeText(new Uint8Array(await file.arrayBuffer()))
      if (contents.length > MAX_CURVE_CHARACTERS) return setFailure(tooLong)
      setFailure(null)
      setText(contents)
      setAbout((now) => (now.name === '' ? { ...now, name: file.name.replace(/\.[^.]+$/, '') } : now))
    } catch (error) {
      setFailure(`Could not read ${file.name}: ${messageOf(error)}`)
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
    <Dialog title="Import curve" isOpen onClose={props.onClose} width="wide">
      <form onSubmit={(event) => void submit(event)}>
        <CurveFields about={about} onChange={change} mics={props.mics} autoFocus />
        <div className="curve-text">
          <TextField
            label="Points"
            value={text}
            onChange={setText}
            isMultiline
            maxLength={MAX_CURVE_CHARACTERS}
            placeholder={'20, -3.5\n1000, 0\n10000, 2.1'}
            description="One point per line: frequency in Hz or kHz, level in dB, separated by commas, semicolons, tabs or spaces. A header line and decimal commas are accepted."
          />
          <FileTrigger
            acceptedFileTypes={['.csv', '.txt', '.tsv', 'text/plain', 'text/csv']}
            onSelect={(files) => void readFile(files?.[0])}
          >
            <Button>Choose file…</Button>
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
