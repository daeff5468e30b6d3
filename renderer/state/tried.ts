// Stages that are being heard on a take before anything is set: with them on one side,
// without them on the other. They belong to no chain.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { ChainStages } from '../../app/contract/chain-document.ts'

export interface Tried {
  readonly takeId: number
  readonly stages: ChainStages
}

const store = createStore<{ readonly tried: Tried | null }>()(() => ({ tried: null }))

export const readTried = (): Tried | null => store.getState().tried
export const setTried = (tried: Tried | null): void => store.setState({ tried })
export const useTried = (): Tried | null => useStore(store).tried
