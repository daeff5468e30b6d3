// Stages that are being heard on a take before anything is set: with them on one side,
// without them on the other. They belong to no chain.

import type { ChainStages } from '../../app/contract/chain-document.ts'
import { createStore, useStore } from './store.ts'

export interface Tried {
  readonly takeId: number
  readonly stages: ChainStages
}

const tried = createStore<Tried | null>(null)

export const readTried = tried.get
export const setTried = tried.set
export const useTried = (): Tried | null => useStore(tried)
