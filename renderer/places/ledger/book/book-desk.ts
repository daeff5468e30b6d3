// Which view of the Ledger is open and whose book, for as long as the window is open.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'

export type LedgerView = 'events' | 'book' | 'find'

interface BookDesk {
  readonly view: LedgerView
  /** null until a voice has been chosen. */
  readonly voiceId: number | null
  /** The bounce that the events scroll to when they are shown; null once they did. */
  readonly bounceId: number | null
}

const desk = createStore<BookDesk>()(() => ({ view: 'events', voiceId: null, bounceId: null }))

export const useBookDesk = (): BookDesk => useStore(desk)
export const showLedgerView = (view: LedgerView): void => desk.setState({ view })
export const showBookOf = (voiceId: number | null): void => desk.setState({ voiceId })
/** Shows a bounce in the list beside the events. */
export const showBounce = (bounceId: number): void => desk.setState({ view: 'events', bounceId })
/** Call it once the bounce is in sight. */
export const bounceWasShown = (): void => desk.setState({ bounceId: null })
