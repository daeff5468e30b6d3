// The window's selection: the place, the session, and what is selected in it. Shared by all places
// and the player.

import { useStore } from 'zustand'
import { persist } from 'zustand/middleware'
import { createStore } from 'zustand/vanilla'
import type { FrameRange } from '../formats/frame-range.ts'
import { keeping, oneOf } from './kept-fields.ts'
import { askForMainFocus } from './main-focus.ts'
import { undoHistory } from './undo.ts'

/** The places in the order of the top bar. */
export const PLACES = ['intake', 'mics', 'stack', 'chain', 'ledger'] as const
/** One of the five places. */
export type Place = (typeof PLACES)[number]

/** Ids are null where nothing is selected. */
export interface Selection {
  readonly place: Place
  readonly sessionId: number | null
  readonly groupId: number | null
  readonly layerId: number | null
  /** Layers that were chosen to be changed together, beside the selected one. */
  readonly chosenIds: ReadonlySet<number>
  readonly takeId: number | null
  readonly loop: FrameRange | null
}

const FRESH: Omit<Selection, 'place'> = {
  sessionId: null,
  groupId: null,
  layerId: null,
  chosenIds: new Set(),
  takeId: null,
  loop: null,
}

const readId = (text: string): number | undefined => {
  const id = Number(text)
  return Number.isInteger(id) && id > 0 ? id : undefined
}

const selection = createStore<Selection>()(
  persist(
    () => ({ place: 'intake', ...FRESH }),
    keeping<Selection>({
      place: { key: 'takeloft.place', read: oneOf(PLACES) },
      sessionId: { key: 'takeloft.session', read: readId },
    }),
  ),
)

// Before anything else runs in the session.
undoHistory.show(selection.getState().sessionId)
selection.subscribe(({ sessionId }) => undoHistory.show(sessionId))

const change = (changes: Partial<Selection>): void => {
  selection.setState(changes)
}

/** The selection, for components. */
export const useSelection = (): Selection => useStore(selection)
/** The current selection, for code outside components. */
export const readSelection = selection.getState
/** Calls the watcher after every change; returns a function that unsubscribes. */
export const watchSelection = selection.subscribe

/** Opens a place; for a user of the keyboard the focus goes into it. */
export function goTo(place: Place): void {
  change({ place })
  askForMainFocus()
}

/** Opens a session and clears the selection and loop of the previous one. */
export function selectSession(sessionId: number | null): void {
  if (selection.getState().sessionId !== sessionId) change({ ...FRESH, sessionId })
}

/** Selects a group and no layer. */
export const selectGroup = (groupId: number | null): void => change({ groupId, layerId: null })

/** Selects a layer with its group and its take. */
export const selectLayer = (layer: { id: number; groupId: number; takeId: number }): void =>
  change({ layerId: layer.id, groupId: layer.groupId, takeId: layer.takeId })

/** Chooses exactly these layers to be changed together. */
export const chooseLayers = (ids: Iterable<number>): void => change({ chosenIds: new Set(ids) })

/** Selects a take without changing the selected layer. */
export const selectTake = (takeId: number | null): void => change({ takeId })

/** Sets the loop, in session frames; null clears it. */
export const setLoop = (loop: FrameRange | null): void => change({ loop })
