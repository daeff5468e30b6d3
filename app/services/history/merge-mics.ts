// Merges mics and their curves. A curve is known by its content, so one that was redrawn is another curve.

import type { CurveRecord } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import { hashOfValue } from '../../history/canonical-json.ts'
import { validState } from '../../history/lineage.ts'
import { curveContent } from './gather-history.ts'
import { adoptStates, mergeStates } from './merge-states.ts'
import {
  isSameName,
  joinIdentities,
  type Merging,
  noteAdded,
  noteConflict,
  referredRow,
  rowHere,
} from './merging.ts'

/** Two mics of one name stay apart; a studio may have a pair. */
export function mergeMics(merging: Merging): void {
  const { mics, identities, historyRows } = merging.catalogue
  for (const mic of merging.entries.history.mics) {
    const values = validState(mic.states).values
    const row = rowHere(merging, 'mics', mic)
    if (row === undefined) {
      if (mics.list().some((one) => isSameName(one.name, values.name) && one.serial === values.serial)) {
        noteConflict(merging, 'same-name', 'mic', values.name)
      }
      const { id } = mics.insert(values, mic.createdAt)
      identities.adopt('mics', id, mic.id)
      adoptStates(merging, { subject: 'mics', id }, mic.states)
      joinIdentities(merging, 'mics', id, mic)
      noteAdded(merging, 'mic', values.name)
      continue
    }
    const { name, serial, pattern, note } = mics.get(row)
    mergeStates(
      merging,
      { subject: 'mics', id: row, kind: 'mic', name, madeAt: historyRows.madeAt('mics', row) },
      { name, serial, pattern, note },
      mic.states,
      {
        rule: 'newest',
        write: (newer) => mics.update(row, newer),
        describe: (one) =>
          [one.name, one.serial, one.pattern, one.note].filter((part) => part !== '').join(', '),
      },
    )
    joinIdentities(merging, 'mics', row, mic)
  }
}

/** The curve of a mic with the content; of no mic if `micId` is null. */
export function findCurve(
  { catalogue }: Pick<Merging, 'catalogue'>,
  micId: number | null,
  sha256: string,
): CurveRecord | undefined {
  const candidates =
    micId === null
      ? catalogue.curves.list().filter((curve) => curve.micId === null)
      : catalogue.curves.list(micId)
  return candidates.find((curve) => hashOfValue(curveContent(curve)) === sha256)
}

/** New curves and the names and notes of known ones. */
export function mergeCurves(merging: Merging): void {
  const { curves, historyRows } = merging.catalogue
  for (const { mic, sha256, createdAt, states } of merging.entries.history.curves) {
    const content = merging.entries.curves.get(sha256)
    if (content === undefined) throw new Failure('invalid-input', `The history lacks the curve ${sha256}.`)
    const micId = mic === null ? null : referredRow(merging, 'mics', mic)
    const known = findCurve(merging, micId, sha256)
    const { name, note } = validState(states).values
    if (known === undefined) {
      const { id } = curves.insert({ micId, name, note, ...content }, createdAt)
      adoptStates(merging, { subject: 'curves', id }, states)
      noteAdded(merging, 'curve', name)
      continue
    }
    mergeStates(
      merging,
      {
        ...{ subject: 'curves', id: known.id, kind: 'curve', name: known.name },
        madeAt: historyRows.madeAt('curves', known.id),
      },
      { name: known.name, note: known.note },
      states,
      {
        rule: 'newest',
        write: (newer) => curves.update(known.id, newer),
        describe: (one) => (one.note === '' ? one.name : `${one.name} (${one.note})`),
      },
    )
  }
}
