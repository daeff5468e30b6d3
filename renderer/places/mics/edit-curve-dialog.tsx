// Edits the description of a saved curve.

import { type FormEvent, useState } from 'react'
import type { CurveRecord, Mic } from '../../../app/contract/entities.ts'
import { changeCurve } from '../../acts/mic-acts.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons } from '../../parts/dialog.tsx'
import { type CurveAbout, CurveFields } from './curves/curve-fields.tsx'

/** The mic and the points of the curve cannot be changed. */
export function EditCurveDialog({
  curve,
  mics,
  onClose,
}: {
  curve: CurveRecord
  mics: readonly Mic[]
  onClose: () => void
}) {
  const [about, setAbout] = useState<CurveAbout>(curve)
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault()
    const { name, source, pattern, distanceM, note } = about
    if (await changeCurve(curve, { name, source, pattern, distanceM, note })) onClose()
  }
  return (
    <Dialog title="Edit curve" isOpen onClose={onClose} width="wide">
      <form onSubmit={(event) => void submit(event)}>
        <CurveFields
          about={about}
          onChange={(changes) => setAbout((now) => ({ ...now, ...changes }))}
          mics={mics}
          isMicFixed
          autoFocus
        />
        <DialogButtons>
          <Button onPress={onClose}>Cancel</Button>
          <Button look="main" type="submit" isDisabled={about.name.trim() === ''}>
            Save
          </Button>
        </DialogButtons>
      </form>
    </Dialog>
  )
}
