// Undoable acts on the takes of a session.

import type { CurveRecord, FoundTake, Layer, Take } from '../../app/contract/entities.ts'
import { Failure } from '../../app/contract/failure.ts'
import { countOf } from '../../app/words/numbers.ts'
import { client } from '../state/connection.ts'
import { remark, reportFailure } from '../state/notices.ts'
import { readSelection, selectTake } from '../state/selection.ts'
import { perform } from './undoable.ts'

/** What is set for one or many takes. */
export type TakeChanges = Partial<Pick<Take, 'voiceId' | 'micId' | 'curveId'>>

/** A mic with its curve: its only one, none if there are several. */
export function withOnlyCurve(
  micId: number | null,
  curves: readonly Pick<CurveRecord, 'id' | 'micId'>[],
): { micId: number | null; curveId: number | null } {
  const own = curves.filter((curve) => micId !== null && curve.micId === micId)
  return { micId, curveId: own.length === 1 ? own[0].id : null }
}

const nameOf = (takes: readonly Pick<Take, 'name'>[]): string =>
  takes.length === 1 ? takes[0].name : countOf(takes.length, 'take')

/** @param what the field in words, as in 'mic' */
export const changeTakes = (takes: readonly Take[], changes: TakeChanges, what: string): Promise<boolean> => {
  const before = takes.map(({ id, voiceId, micId, curveId }) => ({ id, voiceId, micId, curveId }))
  return perform({
    label: `${what} of ${nameOf(takes)}`,
    redo: () => client.updateTakes({ takes: takes.map(({ id }) => ({ id, ...changes })) }),
    undo: () => client.updateTakes({ takes: before }),
  })
}

/** Uses a take of an earlier session in this one, and selects it. */
export async function addEarlierTake(sessionId: number, { id: takeId, name }: FoundTake): Promise<void> {
  const isAdded = await perform({
    label: `add take ${name}`,
    redo: () => client.addTakesToSession({ sessionId, takeIds: [takeId] }),
    undo: () => client.removeTakesFromSession({ sessionId, takeIds: [takeId] }),
  })
  if (isAdded && readSelection().sessionId === sessionId) selectTake(takeId)
}

/**
 * Removes takes from the session; they stay in the catalogue. The neighbour of the last is selected. Takes
 * that are placed in the stack stay, and a message says so.
 * @param listed all takes of the session, in the order in which they are listed
 * @returns whether any was removed
 */
export async function removeTakes(
  sessionId: number,
  listed: readonly Take[],
  takes: readonly Take[],
  layers: readonly Pick<Layer, 'takeId'>[],
): Promise<boolean> {
  const placed = new Set(layers.map(({ takeId }) => takeId))
  const leaving = takes.filter(({ id }) => !placed.has(id))
  const staying = takes.length - leaving.length
  if (leaving.length === 0) {
    const what = takes.length === 1 ? `${takes[0].name} is` : 'All of them are'
    const error = new Failure('conflict', `${what} placed in the stack. Remove the layers there first.`)
    reportFailure(`Failed: remove ${nameOf(takes)}`, error)
    return false
  }
  const takeIds = leaving.map(({ id }) => id)
  const left = new Set(takeIds)
  const last = listed.findLastIndex(({ id }) => left.has(id))
  const neighbour =
    listed.slice(last).find(({ id }) => !left.has(id)) ?? listed.findLast(({ id }) => !left.has(id))
  const isRemoved = await perform({
    label: leaving.length === 1 ? `remove take ${leaving[0].name}` : `remove ${nameOf(leaving)}`,
    redo: () => client.removeTakesFromSession({ sessionId, takeIds }),
    undo: () => client.addTakesToSession({ sessionId, takeIds }),
  })
  if (!isRemoved) return false
  if (staying > 0) {
    remark(`${countOf(leaving.length, 'take')} removed`, `${staying} placed in the stack stay.`)
  }
  if (readSelection().sessionId === sessionId && neighbour !== undefined) {
    selectTake(neighbour.id)
    // The table passes the focus to the selected row, which is rendered in the next frame.
    requestAnimationFrame(() => document.querySelector<HTMLElement>('.take-table')?.focus())
  }
  return true
}
