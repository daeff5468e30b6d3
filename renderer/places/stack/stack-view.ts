// View settings of Stack: zoom, scroll, waveform height, row height, folded groups, offset unit. Zoom and
// scroll belong to their session; row height, folded groups and offset unit are persisted.

import { useStore } from 'zustand'
import { persist } from 'zustand/middleware'
import { createStore } from 'zustand/vanilla'
import { OFFSET_UNITS, type OffsetUnit } from '../../formats/stack/offset-units.ts'
import { keeping, oneOf } from '../../state/kept-fields.ts'
import { readSelection } from '../../state/selection.ts'

const DENSITIES = ['open', 'lines'] as const
/** How high rows are: with two lines of fields, or with one line. */
export type Density = (typeof DENSITIES)[number]

/** Heights in pixels, rules included; stack.css has the same ones. */
export const ROW_PX: Readonly<Record<Density, { head: number; row: number }>> = {
  open: { head: 46, row: 73 },
  lines: { head: 30, row: 24 },
}

interface StackView {
  /** By session; without an entry the whole song is shown. */
  readonly zooms: ReadonlyMap<number, number>
  /** Vertical magnification of all waveforms. */
  readonly waveGain: number
  readonly offsetUnit: OffsetUnit
  readonly density: Density
  /** Ids of groups whose layers are not shown. */
  readonly folded: ReadonlySet<number>
}

const view = createStore<StackView>()(
  persist(
    () => ({ zooms: new Map(), waveGain: 2, offsetUnit: 'ms', density: 'open', folded: new Set() }),
    keeping<StackView>({
      offsetUnit: { key: 'takeloft.offsetUnit', read: oneOf(OFFSET_UNITS) },
      density: { key: 'takeloft.rows', read: oneOf(DENSITIES) },
      folded: {
        key: 'takeloft.foldedGroups',
        read: (text) => new Set(text.split(' ').map(Number).filter(Number.isInteger)),
        write: (ids) => [...ids].join(' '),
      },
    }),
  ),
)

/** The current view; the component rerenders when it changes. */
export const useStackView = (): StackView => useStore(view)

/** The closest zoom, 0.25 ms per pixel. It serves to set offsets; a stored peak is then many pixels wide. */
export const CLOSEST_PX_PER_SECOND = 4000

/** Multiplies the current zoom. Zooming out as far as the whole song makes the view fit it from then on. */
export function zoomBy(factor: number, pxPerSecond: number, wholeSongPxPerSecond: number): void {
  const next = Math.min(CLOSEST_PX_PER_SECOND, pxPerSecond * factor)
  setZoom(next <= wholeSongPxPerSecond * 1.001 ? null : next)
}

/** Sets the zoom of the open session in pixels per second; null fits the whole song. */
export const setZoom = (pxPerSecond: number | null): void => {
  const { sessionId } = readSelection()
  if (sessionId === null) return
  const zooms = new Map(view.getState().zooms)
  if (pxPerSecond === null) zooms.delete(sessionId)
  else zooms.set(sessionId, pxPerSecond)
  view.setState({ zooms })
}

/** Sets the height of rows and remembers it on this machine. */
export const setDensity = (density: Density): void => {
  view.setState({ density })
}

/** Shows or hides the layers of a group; remembered on this machine. */
export function setFolded(groupId: number, isFolded: boolean): void {
  const folded = new Set(view.getState().folded)
  if (isFolded) folded.add(groupId)
  else folded.delete(groupId)
  view.setState({ folded })
}

/** Where the sheet of each session was scrolled to. */
const scrolls = new Map<number, { readonly left: number; readonly top: number }>()
export const readScroll = (sessionId: number) => scrolls.get(sessionId) ?? { left: 0, top: 0 }
export const keepScroll = (sessionId: number, left: number, top: number): void => {
  scrolls.set(sessionId, { left, top })
}

/** Sets the vertical magnification of all waveforms. */
export const setWaveGain = (waveGain: number): void => {
  view.setState({ waveGain })
}

/** Sets the unit of offsets and remembers it on this machine. */
export const setOffsetUnit = (offsetUnit: OffsetUnit): void => {
  view.setState({ offsetUnit })
}

interface ShownZoom {
  /** In pixels per second, also while the view fits the whole song. */
  readonly pxPerSecond: number
  readonly wholeSongPxPerSecond: number
}

const shownZoom = createStore<ShownZoom>()(() => ({ pxPerSecond: 1, wholeSongPxPerSecond: 1 }))
/** The zoom in effect. */
export const useShownZoom = (): ShownZoom => useStore(shownZoom)
/** Called by the sheet, which knows its width. */
export const noteShownZoom = (zoom: ShownZoom): void => shownZoom.setState(zoom)
