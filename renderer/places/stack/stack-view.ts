// View settings of Stack: zoom, waveform height, offset unit. Only the offset unit is persisted.

import { useStore } from 'zustand'
import { persist } from 'zustand/middleware'
import { createStore } from 'zustand/vanilla'
import { OFFSET_UNITS, type OffsetUnit } from '../../formats/stack/offset-units.ts'
import { keeping, oneOf } from '../../state/kept-fields.ts'

interface StackView {
  /** null shows the whole song. */
  readonly pxPerSecond: number | null
  /** Vertical magnification of all waveforms. */
  readonly waveGain: number
  readonly offsetUnit: OffsetUnit
}

const view = createStore<StackView>()(
  persist(
    () => ({ pxPerSecond: null, waveGain: 2, offsetUnit: 'ms' }),
    keeping<StackView>({ offsetUnit: { key: 'takeloft.offsetUnit', read: oneOf(OFFSET_UNITS) } }),
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

/** Sets the zoom in pixels per second; null fits the whole song. */
export const setZoom = (pxPerSecond: number | null): void => {
  view.setState({ pxPerSecond })
}

/** Sets the vertical magnification of all waveforms. */
export const setWaveGain = (waveGain: number): void => {
  view.setState({ waveGain })
}

/** Sets the unit of offsets and remembers it on this machine. */
export const setOffsetUnit = (offsetUnit: OffsetUnit): void => {
  view.setState({ offsetUnit })
}
