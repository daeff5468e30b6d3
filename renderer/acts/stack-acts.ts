// What can be done to a stack, each act with its way back. A change shows at once and is
// taken back if the catalogue refuses it; the player hears of it from the catalogue.

import type { Group, Layer, Session, SessionContents } from '../../app/contract/entities.ts'
import type { InputOf, OutputOf } from '../../app/contract/wire/commands.ts'
import { client } from '../state/connection.ts'
import { reportFailure } from '../state/notices.ts'
import { sessionContentsQuery } from '../state/queries.ts'
import { queryClient } from '../state/query-client.ts'
import { readSelection, selectGroup } from '../state/selection.ts'
import { type Act, undoHistory } from '../state/undo.ts'

export type LayerChanges = InputOf<'updateLayer'>['changes']
export type GroupChanges = InputOf<'updateGroup'>['changes']
export type SessionChanges = InputOf<'updateSession'>['changes']

/** The values that `changes` will replace. */
const before = <T extends object, C extends object>(entity: T, changes: C): C =>
  Object.fromEntries(Object.keys(changes).map((key) => [key, entity[key as keyof T & string]])) as C

const replaceById = <T extends { id: number }>(list: T[], id: number, changes: object): T[] =>
  list.map((item) => (item.id === id ? { ...item, ...changes } : item))

function show(sessionId: number, change: (contents: SessionContents) => SessionContents): void {
  const { queryKey } = sessionContentsQuery(sessionId)
  // An answer under way knows nothing of this change yet; the catalogue's event asks again.
  void queryClient.cancelQueries({ queryKey })
  queryClient.setQueryData(queryKey, (contents) => (contents === undefined ? undefined : change(contents)))
}

const readAnew = (sessionId: number): Promise<void> =>
  queryClient.invalidateQueries({ queryKey: sessionContentsQuery(sessionId).queryKey })

async function perform(sessionId: number, act: Act): Promise<boolean> {
  try {
    await undoHistory.perform(act)
    return true
  } catch (error) {
    reportFailure(`Not done: ${act.label}`, error)
    await readAnew(sessionId)
    return false
  }
}

export function changeLayer(layer: Layer, changes: LayerChanges, what: string): Promise<boolean> {
  const { sessionId } = layer
  const set = async (to: LayerChanges): Promise<void> => {
    show(sessionId, (now) => ({ ...now, layers: replaceById(now.layers, layer.id, to) }))
    await client.updateLayer({ id: layer.id, changes: to })
  }
  const old = before(layer, changes)
  show(sessionId, (now) => ({ ...now, layers: replaceById(now.layers, layer.id, changes) }))
  return perform(sessionId, {
    label: `${what} of ${layer.name}`,
    mergeKey: `layer ${layer.id} ${Object.keys(changes).join()}`,
    redo: () => set(changes),
    undo: () => set(old),
  })
}

export function changeGroup(group: Group, changes: GroupChanges, what: string): Promise<boolean> {
  const { sessionId } = group
  const set = async (to: GroupChanges): Promise<void> => {
    show(sessionId, (now) => ({ ...now, groups: replaceById(now.groups, group.id, to) }))
    await client.updateGroup({ id: group.id, changes: to })
  }
  const old = before(group, changes)
  show(sessionId, (now) => ({ ...now, groups: replaceById(now.groups, group.id, changes) }))
  return perform(sessionId, {
    label: `${what} of ${group.name}`,
    mergeKey: `group ${group.id} ${Object.keys(changes).join()}`,
    redo: () => set(changes),
    undo: () => set(old),
  })
}

const sessionAct = (session: Session, changes: SessionChanges, what: string): Act => {
  const set = async (to: SessionChanges): Promise<void> => {
    show(session.id, (now) => ({ ...now, session: { ...now.session, ...to } as Session }))
    await client.updateSession({ id: session.id, changes: to })
  }
  const old = before(session, changes)
  return {
    label: what,
    mergeKey: `session ${Object.keys(changes).join()}`,
    redo: () => set(changes),
    undo: () => set(old),
  }
}

export const changeSession = (session: Session, changes: SessionChanges, what: string): Promise<boolean> =>
  perform(session.id, sessionAct(session, changes, what))

/** @throws Failure where the catalogue refuses it, for a dialog to say */
export async function tryChangeSession(
  session: Session,
  changes: SessionChanges,
  what: string,
): Promise<void> {
  try {
    await undoHistory.perform(sessionAct(session, changes, what))
  } catch (error) {
    await readAnew(session.id)
    throw error
  }
}

/** @returns the new layer; null where the catalogue refused it */
export async function addLayer(sessionId: number, fields: InputOf<'addLayer'>): Promise<Layer | null> {
  let layer: Layer | null = null
  const isDone = await perform(sessionId, {
    label: `placing ${fields.name}`,
    redo: async () => {
      // Done again, it is the same layer, so that later acts on it still fit.
      layer = await client.addLayer(layer === null ? fields : { ...fields, id: layer.id })
    },
    undo: async () => {
      if (layer !== null) await client.removeLayer({ id: layer.id })
    },
  })
  return isDone ? layer : null
}

export function removeLayer(layer: Layer): Promise<boolean> {
  return perform(layer.sessionId, {
    label: `removing ${layer.name}`,
    redo: async () => {
      await client.removeLayer({ id: layer.id })
    },
    undo: async () => {
      await client.addLayer(layer)
    },
  })
}

/** A group at the foot of the stack, without a chain. */
export function addGroup(sessionId: number, name: string): Promise<boolean> {
  let group: Group | null = null
  return perform(sessionId, {
    label: `adding ${name}`,
    redo: async () => {
      // Done again, it is the same group, so that later acts on it still fit.
      group = await client.createGroup(group ?? { sessionId, name, chainVersionId: null, gainDb: 0 })
    },
    undo: async () => {
      if (group !== null) await client.removeGroup({ id: group.id })
    },
  })
}

/** Takes a group out with its layers; the takes stay. */
export function removeGroup(group: Group): Promise<boolean> {
  let removed: OutputOf<'removeGroup'> | null = null
  return perform(group.sessionId, {
    label: `removing group ${group.name}`,
    redo: async () => {
      removed = await client.removeGroup({ id: group.id })
      if (readSelection().groupId === group.id) selectGroup(null)
    },
    undo: async () => {
      if (removed === null) return
      await client.createGroup(removed.group)
      for (const layer of removed.layers) await client.addLayer(layer)
    },
  })
}
