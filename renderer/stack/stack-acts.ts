// What can be done to a stack, each act with its way back. A change shows at once and is
// taken back if the catalogue refuses it; what plays is tuned to it.

import type { InputOf } from '../../app/contract/commands.ts'
import type { Group, Layer, Session, SessionContents } from '../../app/contract/entities.ts'
import { player, readPlayer } from '../playback/player.ts'
import { client } from '../state/connection.ts'
import { reportFailure } from '../state/notices.ts'
import { sessionContentsQuery } from '../state/queries.ts'
import { queryClient } from '../state/query-client.ts'
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

/** The stack that plays is heard with its changes; a take by itself does not depend on the stack. */
function retune(): void {
  const { source, status } = readPlayer()
  if (source !== null && source.target.kind !== 'take' && status !== 'stopped') void player.retune(source)
}

async function perform(sessionId: number, act: Act): Promise<boolean> {
  try {
    await undoHistory.perform({
      ...act,
      redo: async () => {
        await act.redo()
        retune()
      },
      undo: async () => {
        await act.undo()
        retune()
      },
    })
    return true
  } catch (error) {
    reportFailure(`Not done: ${act.label}`, error)
    await queryClient.invalidateQueries({ queryKey: sessionContentsQuery(sessionId).queryKey })
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

export function changeSession(session: Session, changes: SessionChanges, what: string): Promise<boolean> {
  const set = async (to: SessionChanges): Promise<void> => {
    show(session.id, (now) => ({ ...now, session: { ...now.session, ...to } as Session }))
    await client.updateSession({ id: session.id, changes: to })
  }
  const old = before(session, changes)
  return perform(session.id, {
    label: what,
    mergeKey: `session ${Object.keys(changes).join()}`,
    redo: () => set(changes),
    undo: () => set(old),
  })
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
  const { position: _, ...fields } = layer
  return perform(layer.sessionId, {
    label: `removing ${layer.name}`,
    redo: async () => {
      await client.removeLayer({ id: layer.id })
    },
    undo: async () => {
      await client.addLayer(fields)
    },
  })
}
