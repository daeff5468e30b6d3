// Whether the voice of the chosen take is looked at, in each of the places that show it.

import { createStore, useStore } from '../state/store.ts'

export type VoicePlace = 'intake' | 'chain'
export type VoiceView = 'voice' | 'soundcheck'

interface VoiceDesk {
  readonly open: Readonly<Record<VoicePlace, boolean>>
  readonly view: VoiceView
}

const desk = createStore<VoiceDesk>({ open: { intake: false, chain: false }, view: 'voice' })

export const useVoiceDesk = (): VoiceDesk => useStore(desk)

export const showVoice = (place: VoicePlace, isShown: boolean): void =>
  desk.set((now) => ({ ...now, open: { ...now.open, [place]: isShown } }))

export const setVoiceView = (view: VoiceView): void => desk.set((now) => ({ ...now, view }))
