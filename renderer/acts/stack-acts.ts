// Undoable acts on a stack. A change is shown at once and reverted if the services refuse it; the player
// is updated by the catalogue's event.

import type { Group, Layer, Session, SessionContents } from '../../app/contract/entities.ts'
import type { InputOf, OutputOf } from '../../app/contract/wire/commands.ts'
import { client } from '../state/connection.ts'
import { noteJustMade } from '../state/just-made.ts'
import { sessionContentsQuery } from '../state/queries.ts'
import { queryClient } from '../state/query-client.ts'
import { readSelection, selectGroup } from '../state/selection.ts'
import type { Act } from '../state/undo.ts'
import { changing, creating, perform, tryToPerform } from './undoable.ts'

export type LayerChanges = InputOf<'updateLayer'>['changes']
export type GroupChanges = InputOf<'updateGroup'>['changes']
export type SessionChanges = InputOf<'updateSession'>['changes']

const replaceById = <T extends { id: number }>(list: T[], id: number, changes: object): T[] =>
  list.map((item) => (item.id === id ? { ...item, ...changes } : item))

function show(sessionId: number, change: (contents: SessionContents) => SessionContents): void {
  const { queryKey } = sessionContentsQuery(sessionId)
  // The response to a running query would not contain this change; the catalogue's event starts a new one.
  void queryClient.cancelQueries({ queryKey })
  queryClient.setQueryData(queryKey, (contents) => (contents === undefined ? undefined : change(contents)))
}

const readAgain = (sessionId: number): Promise<void> =>
  queryClient.invalidateQueries({ queryKey: sessionContentsQuery(sessionId).queryKey })

const performIn = (sessionId: number, act: Act): Promise<boolean> => perform(act, () => readAgain(sessionId))

/**
 * Changes of the same fields in one gesture are merged into one undo step.
 * @param what the field in words, as in 'gain'
 * @returns whether it was done; a failure has become a notice, as in all acts here
 */
export function changeLayer(layer: Layer, changes: LayerChanges, what: string): Promise<boolean> {
  const { sessionId } = layer
  const showFields = (fields: LayerChanges): void =>
    show(sessionId, (now) => ({ ...now, layers: replaceById(now.layers, layer.id, fields) }))
  // Shown before the act runs, because earlier acts in the history may delay it.
  showFields(changes)
  return performIn(sessionId, {
    label: `${what} of ${layer.name}`,
    mergeKey: `layer ${layer.id} ${Object.keys(changes).join()}`,
    ...changing(layer, changes, (fields) => {
      showFields(fields)
      return client.updateLayer({ id: layer.id, changes: fields })
    }),
  })
}

/** As changeLayer. */
export function changeGroup(group: Group, changes: GroupChanges, what: string): Promise<boolean> {
  const { sessionId } = group
  const showFields = (fields: GroupChanges): void =>
    show(sessionId, (now) => ({ ...now, groups: replaceById(now.groups, group.id, fields) }))
  showFields(changes)
  return performIn(sessionId, {
    label: `${what} of ${group.name}`,
    mergeKey: `group ${group.id} ${Object.keys(changes).join()}`,
    ...changing(group, changes, (fields) => {
      showFields(fields)
      return client.updateGroup({ id: group.id, changes: fields })
    }),
  })
}

const sessionAct = (session: Session, changes: SessionChanges, what: string): Act => ({
  label: what,
  mergeKey: `session ${Object.keys(changes).join()}`,
  ...changing(session, changes, (fields) => {
    show(session.id, (now) => ({ ...now, session: { ...now.session, ...fields } as Session }))
    return client.updateSession({ id: session.id, changes: fields })
  }),
})

/** @param what the field in words, as in 'pan law' */
export const changeSession = (session: Session, changes: SessionChanges, what: string): Promise<boolean> =>
  performIn(session.id, sessionAct(session, changes, what))

/**
 * As changeSession, for a dialog that shows the failure itself.
 * @throws Failure of the services
 */
export const tryChangeSession = (session: Session, changes: SessionChanges, what: string): Promise<void> =>
  tryToPerform(sessionAct(session, changes, what), () => readAgain(session.id))

/** Removes a layer; undo restores it with the same id. */
export const removeLayer = (layer: Layer): Promise<boolean> =>
  performIn(layer.sessionId, {
    label: `remove ${layer.name}`,
    redo: () => client.removeLayer({ id: layer.id }),
    undo: () => client.addLayer(layer),
  })

/** Adds a group without a chain at the end of the stack. */
export async function addGroup(sessionId: number, name: string): Promise<void> {
  const group = creating<Group>(
    (made) => client.createGroup(made ?? { sessionId, name, chainVersionId: null, gainDb: 0 }),
    ({ id }) => client.removeGroup({ id }),
  )
  const isDone = await performIn(sessionId, { label: `add ${name}`, ...group })
  const made = group.made()
  if (isDone && made !== null) noteJustMade({ kind: 'group', id: made.id })
}

/** Removes a group with its layers; the takes stay. */
export function removeGroup(group: Group): Promise<boolean> {
  let removed: OutputOf<'removeGroup'> | null = null
  return performIn(group.sessionId, {
    label: `remove group ${group.name}`,
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
