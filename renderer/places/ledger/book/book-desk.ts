// Which view of the Ledger is open and whose book, for as long as the window is open.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'

export type LedgerView = 'events' | 'book' | 'find'

interface BookDesk {
  readonly view: LedgerView
  /** null until a voice has been chosen. */
  readonly voiceId: number | null
}

const desk = createStore<BookDesk>()(() => ({ view: 'events', voiceId: null }))

export const useBookDesk = (): BookDesk => useStore(desk)
export const showLedgerView = (view: LedgerView): void => desk.setState({ view })
export const showBookOf = (voiceId: number | null): void => desk.setState({ voiceId })
