// Undoable acts on a stack. A change is shown at once and reverted if the services refuse it; the player
// is updated by the catalogue's event.

import type { Group, Layer, Session, SessionContents } from '../../app/contract/entities.ts'
import type { InputOf, OutputOf } from '../../app/contract/wire/commands.ts'
import { countOf } from '../../app/words/numbers.ts'
import { LAYER_GAIN_BOUNDS, OFFSET_BOUNDS, PAN_BOUNDS } from '../formats/bounds.ts'
import { movedTogether } from '../formats/stack/moved-together.ts'
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

/**
 * The layers that change with one: all that are chosen, in the order of the stack, where it is among them; else it
 * alone.
 */
export function togetherWith(layer: Layer): readonly Layer[] {
  const { chosenIds } = readSelection()
  if (!chosenIds.has(layer.id)) return [layer]
  const contents = queryClient.getQueryData(sessionContentsQuery(layer.sessionId).queryKey)
  return contents?.layers.filter(({ id }) => chosenIds.has(id)) ?? [layer]
}

/** How layers are named in the label of an act. */
const nameOf = (layers: readonly Layer[]): string =>
  layers.length === 1 ? layers[0].name : countOf(layers.length, 'layer')

/**
 * Changes several layers of one session in one undo step, all or none.
 * @param changesOf what changes of each; the same fields for all
 * @param what as for changeLayer
 */
export async function changeLayers(
  layers: readonly Layer[],
  changesOf: (layer: Layer) => LayerChanges,
  what: string,
): Promise<boolean> {
  const [first] = layers
  if (first === undefined) return false
  const { sessionId } = first
  const changed = layers.map((layer) => ({ id: layer.id, changes: changesOf(layer) }))
  const fields = Object.keys(changed[0].changes) as (keyof LayerChanges)[]
  const before = layers.map((layer) => ({
    id: layer.id,
    changes: Object.fromEntries(fields.map((field) => [field, layer[field]])) as LayerChanges,
  }))
  const showAll = (all: typeof changed): void =>
    show(sessionId, (now) => ({
      ...now,
      layers: all.reduce((list, { id, changes }) => replaceById(list, id, changes), now.layers),
    }))
  const set = (all: typeof changed): Promise<unknown> => {
    showAll(all)
    return client.updateLayers({ layers: all })
  }
  showAll(changed)
  return performIn(sessionId, {
    label: `${what} of ${nameOf(layers)}`,
    mergeKey: `layers ${layers.map(({ id }) => id).join()} ${fields.join()}`,
    redo: () => set(changed),
    undo: () => set(before),
  })
}

/**
 * As changeLayer; where the layer is one of several that are chosen, all of them are changed. Gains, pans and offsets
 * move by the same amount, no farther than all of them can, so that they keep their distances; the rest is set.
 */
export function changeTogether(layer: Layer, changes: LayerChanges, what: string): Promise<boolean> {
  const layers = togetherWith(layer)
  if (layers.length === 1) return changeLayer(layer, changes, what)
  const moved = (Object.keys(MOVED) as (keyof typeof MOVED)[]).flatMap((field) => {
    const to = changes[field]
    if (to === undefined) return []
    const values = movedTogether(
      layers.map((one) => one[field]),
      to - layer[field],
      MOVED[field],
    )
    return [{ field, values }]
  })
  return changeLayers(
    layers,
    (one) => ({
      ...changes,
      ...Object.fromEntries(moved.map(({ field, values }) => [field, values[layers.indexOf(one)]])),
    }),
    what,
  )
}

const MOVED = { gainDb: LAYER_GAIN_BOUNDS, pan: PAN_BOUNDS, offsetSamples: OFFSET_BOUNDS }

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
const removeLayer = (layer: Layer): Promise<boolean> =>
  performIn(layer.sessionId, {
    label: `remove ${layer.name}`,
    redo: () => client.removeLayer({ id: layer.id }),
    undo: () => client.addLayer(layer),
  })

/** Removes several layers of one session in one step; undo restores them with their ids. */
export async function removeLayers(layers: readonly Layer[]): Promise<boolean> {
  const [first] = layers
  if (first === undefined) return false
  if (layers.length === 1) return removeLayer(first)
  const { sessionId } = first
  return performIn(sessionId, {
    label: `remove ${nameOf(layers)}`,
    redo: () => client.removeLayers({ layerIds: layers.map(({ id }) => id), groupIds: [] }),
    undo: () =>
      client.addLayers({
        sessionId,
        groups: [],
        layers: layers.map(({ groupId, sessionId: _, ...fields }) => ({ ...fields, group: { id: groupId } })),
      }),
  })
}

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
