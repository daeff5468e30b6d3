// Undoable acts on mics and curves.

import type { CurveRecord, Mic } from '../../app/contract/entities.ts'
import type { InputOf, OutputOf } from '../../app/contract/wire/commands.ts'
import { client } from '../state/connection.ts'
import { saveFile } from '../state/save-file.ts'
import { changing, creating, perform, tryToPerform } from './undoable.ts'

export type CurveChanges = InputOf<'updateCurve'>['changes']
export type MicChanges = InputOf<'updateMic'>['changes']
export type NewCurve = InputOf<'createCurve'>

/** @returns whether it succeeded; a failure is shown as a notice */
export const changeCurve = (curve: CurveRecord, changes: CurveChanges): Promise<boolean> =>
  perform({
    label: `edit ${curve.name}`,
    ...changing(curve, changes, (fields) => client.updateCurve({ id: curve.id, changes: fields })),
  })

/** Undo restores the curve with its original id. */
export const removeCurve = (curve: CurveRecord): Promise<boolean> =>
  perform({
    label: `remove ${curve.name}`,
    redo: () => client.removeCurve({ id: curve.id }),
    undo: () => client.createCurve(curve),
  })

/** @returns null if it failed; the failure is shown as a notice */
export async function addCurve(fields: NewCurve): Promise<CurveRecord | null> {
  const curve = creating<CurveRecord>(
    (made) => client.createCurve(made ?? fields),
    ({ id }) => client.removeCurve({ id }),
  )
  return (await perform({ label: `add curve ${fields.name}`, ...curve })) ? curve.made() : null
}

/**
 * Reads a curve from text and adds it. Redo adds the points that were parsed the first time.
 * @returns the curve, with remarks on how the text was parsed
 * @throws Failure that says what is wrong with the text, for the dialog to show
 */
export async function importCurve(request: InputOf<'importCurve'>): Promise<OutputOf<'importCurve'>> {
  const imported = creating<OutputOf<'importCurve'>>(
    async (made) => {
      if (made === null) return client.importCurve(request)
      await client.createCurve(made.curve)
      return made
    },
    ({ curve }) => client.removeCurve({ id: curve.id }),
  )
  await tryToPerform({ label: `import ${request.name}`, ...imported })
  return imported.made()!
}

/**
 * Creates a mic; undo removes it.
 * @throws Failure, for the dialog to show
 */
export async function addMic(fields: Omit<Mic, 'id'>): Promise<Mic> {
  const mic = creating<Mic>(
    (made) => client.createMic(made ?? fields),
    ({ id }) => client.removeMic({ id }),
  )
  await tryToPerform({ label: `add mic ${fields.name}`, ...mic })
  return mic.made()!
}

/** @returns whether it succeeded; a failure is shown as a notice */
export const changeMic = (mic: Mic, changes: MicChanges): Promise<boolean> =>
  perform({
    label: `edit ${mic.name}`,
    ...changing(mic, changes, (fields) => client.updateMic({ id: mic.id, changes: fields })),
  })

/** Undo restores the mic with its original id. */
export const removeMic = (mic: Mic): Promise<boolean> =>
  perform({
    label: `remove ${mic.name}`,
    redo: () => client.removeMic({ id: mic.id }),
    undo: () => client.createMic(mic),
  })

/** Saves a curve as a CSV file; a notice reports the result. */
export const exportCurve = (curve: CurveRecord): Promise<void> =>
  saveFile(curve.name, async () => {
    const { fileName, text } = await client.exportCurve({ id: curve.id })
    return { name: fileName, text }
  })
