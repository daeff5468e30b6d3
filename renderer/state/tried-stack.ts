// Changes of a stack that are heard before they are made: of layers, and of one group's chain. While they are heard, the
// dry side is the stack as it is saved.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { PlaybackSource } from '../../app/contract/playback.ts'

export interface TriedStack {
  readonly sessionId: number
  readonly layers: NonNullable<PlaybackSource['tried']>
  readonly draft: PlaybackSource['draft']
}

const store = createStore<{ readonly tried: TriedStack | null }>()(() => ({ tried: null }))

/** null while nothing is tried. */
export const readTriedStack = (): TriedStack | null => store.getState().tried
/** As readTriedStack, for components. */
export const useTriedStack = (): TriedStack | null => useStore(store).tried
/** Sets what is tried; null ends it. Playback has to be started or retuned separately. */
export const setTriedStack = (tried: TriedStack | null): void => store.setState({ tried })
