// Solo: which layers and groups are heard alone. A state of the open session in this window; it is not in
// the catalogue, it is no part of undo, and no bounce knows of it.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import { readSelection, watchSelection } from './selection.ts'

interface Solo {
  readonly layerIds: ReadonlySet<number>
  readonly groupIds: ReadonlySet<number>
}
type SoloKind = 'layer' | 'group'

const NONE: Solo = { layerIds: new Set(), groupIds: new Set() }
const solo = createStore<Solo>()(() => NONE)

/** The layers and groups that are soloed. */
export const useSolo = (): Solo => useStore(solo)
/** Calls the watcher after every change. */
export const watchSolo = solo.subscribe

/** Whether anything is soloed. */
export const isSoloOn = ({ layerIds, groupIds }: Solo): boolean => layerIds.size + groupIds.size > 0

/** Whether a layer is heard because of solo, by itself or by its group. */
export const isLayerSoloed = (
  { layerIds, groupIds }: Solo,
  layer: { id: number; groupId: number },
): boolean => layerIds.has(layer.id) || groupIds.has(layer.groupId)

/** Ids of the layers that solo lets through; null while nothing of these layers is soloed. */
export function soloedLayerIds(layers: readonly { id: number; groupId: number }[]): number[] | null {
  const ids = layers.filter((layer) => isLayerSoloed(solo.getState(), layer)).map(({ id }) => id)
  return ids.length === 0 ? null : ids
}

/**
 * Adds all of them to solo, or takes them out if all are soloed; exclusively, they alone are soloed, or nothing if
 * they already were.
 */
export function toggleSolo(kind: SoloKind, ids: readonly number[], isExclusive: boolean): void {
  const now = solo.getState()
  const key = kind === 'layer' ? 'layerIds' : 'groupIds'
  const areOn = ids.every((id) => now[key].has(id))
  if (isExclusive) {
    const areAlone = areOn && now.layerIds.size + now.groupIds.size === ids.length
    solo.setState(areAlone ? NONE : { ...NONE, [key]: new Set(ids) })
    return
  }
  const next = new Set(now[key])
  for (const id of ids) {
    if (areOn) next.delete(id)
    else next.add(id)
  }
  solo.setState({ [key]: next })
}

/** Nothing is soloed any more. */
export const clearSolo = (): void => solo.setState(NONE)

// Ids of another session mean nothing here.
let sessionId = readSelection().sessionId
watchSelection(() => {
  if (readSelection().sessionId === sessionId) return
  sessionId = readSelection().sessionId
  clearSolo()
})
