// What the Mics place has on the table: which curves lie over each other, how, and what is
// being corrected, carried or traced. It stays while other places are looked at.

import {
  defaultStages,
  type MicCorrectionAims,
  type ProximityShelf,
} from '../../../app/contract/chain-document.ts'
import type { CarryAim } from '../../../app/contract/correction.ts'
import { createStore, useStore } from '../../state/store.ts'
import type { Normalising } from './curve-levels.ts'

export const MIC_VIEWS = ['curves', 'correction', 'carry', 'trace'] as const
export type MicView = (typeof MIC_VIEWS)[number]

export interface CorrectionState {
  /** null: the mic of the take that is chosen. */
  readonly sourceId: number | null
  /** null: flat. */
  readonly targetId: number | null
  readonly limits: Omit<MicCorrectionAims, 'target' | 'proximity'>
  readonly proximity: ProximityShelf | null
  readonly voiceDistanceM: number
}

export interface CarryState {
  readonly chainId: number | null
  readonly versionId: number | null
  readonly fromId: number | null
  readonly toId: number | null
  readonly aim: CarryAim | null
  readonly maxBoostDb: number | null
  readonly maxCutDb: number | null
}

export interface MicsState {
  readonly view: MicView
  /** null: the first few. */
  readonly shownIds: readonly number[] | null
  readonly normalising: Normalising
  readonly difference: {
    readonly curveId: number | null
    readonly lessCurveId: number | null
    readonly isShown: boolean
  }
  readonly correction: CorrectionState
  readonly carry: CarryState
}

const { target: _, ...limits } = defaultStages['mic-correction'].settings

const state = createStore<MicsState>({
  view: 'curves',
  shownIds: null,
  normalising: { kind: 'at', frequencyHz: 1000 },
  difference: { curveId: null, lessCurveId: null, isShown: false },
  correction: { sourceId: null, targetId: null, limits, proximity: null, voiceDistanceM: 0.15 },
  carry: {
    chainId: null,
    versionId: null,
    fromId: null,
    toId: null,
    aim: null,
    maxBoostDb: null,
    maxCutDb: null,
  },
})

export const useMicsState = (): MicsState => useStore(state)
export const readMicsState = state.get

export const changeMicsState = (changes: Partial<MicsState>): void =>
  state.set((now) => ({ ...now, ...changes }))
export const changeCorrection = (changes: Partial<CorrectionState>): void =>
  state.set((now) => ({ ...now, correction: { ...now.correction, ...changes } }))
export const changeCarry = (changes: Partial<CarryState>): void =>
  state.set((now) => ({ ...now, carry: { ...now.carry, ...changes } }))

/** Lays a curve on the sheet as well, or takes it off. */
export function showCurve(curveId: number, isShown: boolean, shownIds: readonly number[]): void {
  const others = shownIds.filter((id) => id !== curveId)
  changeMicsState({ shownIds: isShown ? [...others, curveId] : others })
}
