// How the stack is looked at: zoom, height of the waves, unit of the offsets. Kept on this machine.

import { useStore } from 'zustand'
import { persist } from 'zustand/middleware'
import { createStore } from 'zustand/vanilla'
import { OFFSET_UNITS, type OffsetUnit } from '../../formats/stack/offset-units.ts'
import { keeping, oneOf } from '../../state/kept-fields.ts'

export interface StackView {
  /** null shows the whole song. */
  readonly pxPerSecond: number | null
  /** Factor on the waves. */
  readonly waveGain: number
  readonly offsetUnit: OffsetUnit
}

const view = createStore<StackView>()(
  persist(
    () => ({ pxPerSecond: null, waveGain: 2, offsetUnit: 'ms' }),
    keeping<StackView>({ offsetUnit: { key: 'takeloft.offsetUnit', read: oneOf(OFFSET_UNITS) } }),
  ),
)

export const useStackView = (): StackView => useStore(view)
/** Closer than this a lane shows less than the stored peaks hold. */
export const CLOSEST_PX_PER_SECOND = 4000

/** Zooms from what is drawn now; back at the whole song, the view follows its length again. */
export function zoomBy(factor: number, pxPerSecond: number, wholeSongPxPerSecond: number): void {
  const next = Math.min(CLOSEST_PX_PER_SECOND, pxPerSecond * factor)
  setZoom(next <= wholeSongPxPerSecond * 1.001 ? null : next)
}
export const setZoom = (pxPerSecond: number | null): void => {
  view.setState({ pxPerSecond })
}
export const setWaveGain = (waveGain: number): void => {
  view.setState({ waveGain })
}
export const setOffsetUnit = (offsetUnit: OffsetUnit): void => {
  view.setState({ offsetUnit })
}
