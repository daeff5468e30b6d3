// What can be done to mics and curves, each act with its way back.

import type { CurveRecord, Mic } from '../../app/contract/entities.ts'
import type { InputOf } from '../../app/contract/wire/commands.ts'
import { client } from '../state/connection.ts'
import { reportFailure } from '../state/notices.ts'
import { saveFile } from '../state/save-file.ts'
import { type Act, undoHistory } from '../state/undo.ts'

export type CurveChanges = InputOf<'updateCurve'>['changes']
export type MicChanges = InputOf<'updateMic'>['changes']
export type NewCurve = InputOf<'createCurve'>

async function perform(act: Act): Promise<boolean> {
  try {
    await undoHistory.perform(act)
    return true
  } catch (error) {
    reportFailure(`Not done: ${act.label}`, error)
    return false
  }
}

/** The values that `changes` will replace. */
const before = <T extends object, C extends object>(entity: T, changes: C): C =>
  Object.fromEntries(Object.keys(changes).map((key) => [key, entity[key as keyof T & string]])) as C

export const changeCurve = (curve: CurveRecord, changes: CurveChanges): Promise<boolean> =>
  perform({
    label: `change of ${curve.name}`,
    redo: () => client.updateCurve({ id: curve.id, changes }),
    undo: () => client.updateCurve({ id: curve.id, changes: before(curve, changes) }),
  })

export const removeCurve = (curve: CurveRecord): Promise<boolean> =>
  perform({
    label: `remove ${curve.name}`,
    redo: () => client.removeCurve({ id: curve.id }),
    undo: () => client.createCurve(curve),
  })

/** @returns the curve; redone, it comes back under the same id */
export async function addCurve(fields: NewCurve): Promise<CurveRecord | null> {
  let made: CurveRecord | null = null
  const isDone = await perform({
    label: `new curve ${fields.name}`,
    redo: async () => {
      made = await client.createCurve(made ?? fields)
    },
    undo: async () => {
      if (made !== null) await client.removeCurve({ id: made.id })
    },
  })
  return isDone ? made : null
}

export const changeMic = (mic: Mic, changes: MicChanges): Promise<boolean> =>
  perform({
    label: `change of ${mic.name}`,
    redo: () => client.updateMic({ id: mic.id, changes }),
    undo: () => client.updateMic({ id: mic.id, changes: before(mic, changes) }),
  })

export const removeMic = (mic: Mic): Promise<boolean> =>
  perform({
    label: `remove ${mic.name}`,
    redo: () => client.removeMic({ id: mic.id }),
    undo: () => client.createMic(mic),
  })

export const exportCurve = (curve: CurveRecord): Promise<void> =>
  saveFile(curve.name, async () => {
    const { fileName, text } = await client.exportCurve({ id: curve.id })
    return { name: fileName, text }
  })
