// How sections stand in the window: which one is selected, which one is being renamed, where one was begun by key.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'

/** Height of a line of sections; sections.css has the same one. */
export const SECTION_LINE_PX = 24

interface SectionDesk {
  readonly selectedId: number | null
  /** The section whose name is a field. */
  readonly namedId: number | null
  /** The session frame where a section was begun by key that is not ended yet. */
  readonly begunFrame: number | null
}

const desk = createStore<SectionDesk>()(() => ({ selectedId: null, namedId: null, begunFrame: null }))

export const useSectionDesk = (): SectionDesk => useStore(desk)
export const readSectionDesk = desk.getState
export const selectSection = (selectedId: number | null): void => desk.setState({ selectedId })
export const nameSection = (namedId: number | null): void => desk.setState({ namedId })
export const beginAt = (begunFrame: number | null): void => desk.setState({ begunFrame })
/** Another session has other sections. */
export const clearSectionDesk = (): void =>
  desk.setState({ selectedId: null, namedId: null, begunFrame: null })
