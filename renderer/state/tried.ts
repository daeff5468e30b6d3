// What is heard before it is made: proposed stages on a take, and changes of a stack, of its layers and of one group's
// chain. The dry side plays without it, the processed side with it.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { ChainStages } from '../../app/contract/chain-document.ts'
import type { PlaybackSource } from '../../app/contract/playback.ts'

export interface Tried {
  readonly takeId: number
  readonly stages: ChainStages
  /** Lowers what is heard behind the stages. */
  readonly lowerDb: number
}

const store = createStore<{ readonly tried: Tried | null }>()(() => ({ tried: null }))

/** null while nothing is auditioned. */
export const readTried = (): Tried | null => store.getState().tried
/** Sets what is auditioned; null ends it. Playback has to be started or retuned separately. */
export const setTried = (tried: Tried | null): void => store.setState({ tried })
/** As readTried, for components. */
export const useTried = (): Tried | null => useStore(store).tried

export interface TriedStack {
  readonly sessionId: number
  readonly layers: NonNullable<PlaybackSource['tried']>
  readonly draft: PlaybackSource['draft']
  /** Lowers what is heard behind the chains; not at all if omitted. */
  readonly lowerDb?: number
}

const ofStack = createStore<{ readonly tried: TriedStack | null }>()(() => ({ tried: null }))

/** null while nothing is tried. */
export const readTriedStack = (): TriedStack | null => ofStack.getState().tried
/** As readTriedStack, for components. */
export const useTriedStack = (): TriedStack | null => useStore(ofStack).tried
/** Sets what is tried; null ends it. Playback has to be started or retuned separately. */
export const setTriedStack = (tried: TriedStack | null): void => ofStack.setState({ tried })
