// Whether the voice page of the selected take is open, in each place that has one.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
/** A place that has a voice page. */
export type VoicePlace = 'intake' | 'chain'
/** The tabs of the voice page. */
export type VoiceView = 'voice' | 'soundcheck' | 'findings'

interface VoiceDesk {
  readonly open: Readonly<Record<VoicePlace, boolean>>
  readonly view: VoiceView
}

const desk = createStore<VoiceDesk>()(() => ({ open: { intake: false, chain: false }, view: 'voice' }))

/** Where the voice page is open, and its tab. */
export const useVoiceDesk = (): VoiceDesk => useStore(desk)

/** The place whose page was just closed, until the button that opens it has the focus again. */
let leftPlace: VoicePlace | null = null

/** Opens or closes the voice page of a place. */
export function showVoice(place: VoicePlace, isShown: boolean): void {
  const isOpen = desk.getState().open[place]
  if (isOpen === isShown) return
  leftPlace = isShown ? null : place
  desk.setState(({ open }) => ({ open: { ...open, [place]: isShown } }))
}

/** For the ref of the button that opens the page: focuses it once after the page was closed. */
export function focusOnReturn(place: VoicePlace, button: HTMLElement | null): void {
  if (button === null || leftPlace !== place) return
  leftPlace = null
  button.focus()
}

/** Selects a tab of the voice page. */
export const setVoiceView = (view: VoiceView): void => desk.setState({ view })
