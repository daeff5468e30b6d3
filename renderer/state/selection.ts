// What the window is looking at: the place, the session, and what is chosen in it.
// All places and the player read it from here.

import { createStore, useStore } from './store.ts'

export const PLACES = ['intake', 'mics', 'stack', 'chain', 'ledger'] as const
export type Place = (typeof PLACES)[number]

/** A span to repeat, in session frames at the session's rate; `toFrame` is not part of it. */
export interface LoopRange {
  readonly fromFrame: number
  readonly toFrame: number
}

export interface Selection {
  readonly place: Place
  readonly sessionId: number | null
  readonly groupId: number | null
  readonly layerId: number | null
  readonly takeId: number | null
  readonly loop: LoopRange | null
}

const SESSION_KEY = 'takeloft.session'
const PLACE_KEY = 'takeloft.place'

const storedPlace = PLACES.find((place) => place === localStorage.getItem(PLACE_KEY))
const storedSession = Number(localStorage.getItem(SESSION_KEY))

const selection = createStore<Selection>({
  place: storedPlace ?? 'intake',
  sessionId: Number.isInteger(storedSession) && storedSession > 0 ? storedSession : null,
  groupId: null,
  layerId: null,
  takeId: null,
  loop: null,
})

export const useSelection = (): Selection => useStore(selection)
export const readSelection = selection.get
export const watchSelection = selection.subscribe

export function goTo(place: Place): void {
  localStorage.setItem(PLACE_KEY, place)
  selection.set((now) => ({ ...now, place }))
}

/** Another session is another desk: what was chosen in the last one is let go. */
export function selectSession(sessionId: number | null): void {
  if (selection.get().sessionId === sessionId) return
  if (sessionId === null) localStorage.removeItem(SESSION_KEY)
  else localStorage.setItem(SESSION_KEY, String(sessionId))
  selection.set((now) => ({ ...now, sessionId, groupId: null, layerId: null, takeId: null, loop: null }))
}

/** A group, without any one of its layers. */
export const selectGroup = (groupId: number | null): void =>
  selection.set((now) => ({ ...now, groupId, layerId: null }))

/** A layer stands for its group and its take as well. */
export const selectLayer = (layer: { id: number; groupId: number; takeId: number }): void =>
  selection.set((now) => ({ ...now, layerId: layer.id, groupId: layer.groupId, takeId: layer.takeId }))

export const selectTake = (takeId: number | null): void => selection.set((now) => ({ ...now, takeId }))

export const setLoop = (loop: LoopRange | null): void => selection.set((now) => ({ ...now, loop }))
