// Proposed stages that are auditioned on a take before they are put into a chain: the dry
// side plays without them, the processed side with them.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { ChainStages } from '../../app/contract/chain-document.ts'

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
