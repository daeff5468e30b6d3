// How Intake stands in each session: settings for imports, and selection, sorting, filter and scroll position of
// its table. They stay with
// their session for as long as the window is open. Whether the details are open is kept on this machine.

import { useStore } from 'zustand'
import { persist } from 'zustand/middleware'
import { createStore } from 'zustand/vanilla'
import { keeping } from './kept-fields.ts'

/** null is the order of import. */
export type TakeSort = { readonly column: string; readonly isDescending: boolean } | null

/** Voice, mic and curve of all takes of an import; null where they differ or are unknown. */
export interface ImportSettings {
  readonly voiceId: number | null
  readonly micId: number | null
  readonly curveId: number | null
}

export interface TakeDesk {
  /** null until the user has chosen any. */
  readonly importSettings: ImportSettings | null
  /** Ids of the selected takes. */
  readonly selected: readonly number[]
  /** The one of them that details are shown of. */
  readonly leadId: number | null
  readonly sort: TakeSort
  readonly filter: string
}

const FRESH: TakeDesk = { importSettings: null, selected: [], leadId: null, sort: null, filter: '' }

const desks = createStore<Readonly<Record<number, TakeDesk>>>()(() => ({}))

/** The table of one session. */
export const useTakeDesk = (sessionId: number): TakeDesk =>
  useStore(desks, (state) => state[sessionId] ?? FRESH)
export function changeTakeDesk(sessionId: number, changes: Partial<TakeDesk>): void {
  desks.setState((state) => ({ [sessionId]: { ...(state[sessionId] ?? FRESH), ...changes } }))
}

/** Nothing is drawn anew when these change: the browser scrolls. */
const scrollPositions = new Map<number, number>()

/** How far the table of a session is scrolled, in CSS pixels. */
export const takeScrollPx = (sessionId: number): number => scrollPositions.get(sessionId) ?? 0
export const keepTakeScroll = (sessionId: number, px: number): void => void scrollPositions.set(sessionId, px)

interface Details {
  readonly areOpen: boolean
}

const details = createStore<Details>()(
  persist(
    () => ({ areOpen: false }),
    keeping<Details>({
      areOpen: {
        key: 'takeloft.takeDetails',
        read: (text) => text === 'open',
        write: (areOpen) => (areOpen ? 'open' : 'closed'),
      },
    }),
  ),
)

/** Whether waveform and findings of the selected take are shown below the table. */
export const useTakeDetails = (): boolean => useStore(details).areOpen
export function toggleTakeDetails(): void {
  details.setState(({ areOpen }) => ({ areOpen: !areOpen }))
}
