// Whether the voice of the chosen take is looked at, in each of the places that show it.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
export type VoicePlace = 'intake' | 'chain'
export type VoiceView = 'voice' | 'soundcheck' | 'findings'

interface VoiceDesk {
  readonly open: Readonly<Record<VoicePlace, boolean>>
  readonly view: VoiceView
}

const desk = createStore<VoiceDesk>()(() => ({ open: { intake: false, chain: false }, view: 'voice' }))

export const useVoiceDesk = (): VoiceDesk => useStore(desk)

/** The place whose page was left last, until its way in has the keyboard again. */
let leftPlace: VoicePlace | null = null

export function showVoice(place: VoicePlace, isShown: boolean): void {
  const isOpen = desk.getState().open[place]
  if (isOpen === isShown) return
  leftPlace = isShown ? null : place
  desk.setState(({ open }) => ({ open: { ...open, [place]: isShown } }))
}

/** For the ref of the button that led to the page: hands it the keyboard once, when the page is left. */
export function focusOnReturn(place: VoicePlace, button: HTMLElement | null): void {
  if (button === null || leftPlace !== place) return
  leftPlace = null
  button.focus()
}

export const setVoiceView = (view: VoiceView): void => desk.setState({ view })
