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

/** Tabs of Mics, in order. */
export const MIC_VIEWS = ['curves', 'correction', 'carry', 'trace'] as const
/** One of the tabs. */
export type MicView = (typeof MIC_VIEWS)[number]

interface CorrectionState {
  /** null: the mic of the take that is chosen. */
  readonly sourceId: number | null
  /** null: flat. */
  readonly targetId: number | null
  readonly limits: Omit<MicCorrectionAims, 'target' | 'proximity'>
  readonly proximity: ProximityShelf | null
  readonly voiceDistanceM: number
}

interface CarryState {
  readonly chainId: number | null
  readonly versionId: number | null
  readonly fromId: number | null
  readonly toId: number | null
  readonly aim: CarryAim | null
  readonly maxBoostDb: number | null
  readonly maxCutDb: number | null
}

interface MicsState {
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

/** The current state; the component renders again when it changes. */
export const useMicsState = (): MicsState => useStore(state)
/** The current state, outside of components. */
export const readMicsState = state.get

/** Replaces the given fields. */
export const changeMicsState = (changes: Partial<MicsState>): void =>
  state.set((now) => ({ ...now, ...changes }))
/** Replaces the given fields of the correction. */
export const changeCorrection = (changes: Partial<CorrectionState>): void =>
  state.set((now) => ({ ...now, correction: { ...now.correction, ...changes } }))
/** Replaces the given fields of the carry. */
export const changeCarry = (changes: Partial<CarryState>): void =>
  state.set((now) => ({ ...now, carry: { ...now.carry, ...changes } }))

/** Lays a curve on the sheet as well, or takes it off. */
export function showCurve(curveId: number, isShown: boolean, shownIds: readonly number[]): void {
  const others = shownIds.filter((id) => id !== curveId)
  changeMicsState({ shownIds: isShown ? [...others, curveId] : others })
}
