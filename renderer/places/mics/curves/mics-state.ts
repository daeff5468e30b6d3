// State of Mics that survives a visit to other places: selected curves, normalisation, and the
// settings of correction and carry.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import {
  defaultStages,
  type MicCorrectionAims,
  type ProximityShelf,
} from '../../../../app/contract/chain-document.ts'
import type { CarryAim } from '../../../../app/contract/correction.ts'
import type { Normalising } from './curve-levels.ts'

/** Tabs of Mics, in order. */
export const MIC_VIEWS = ['curves', 'correction', 'carry', 'trace'] as const

/** One of the tabs. */
export type MicView = (typeof MIC_VIEWS)[number]

interface CorrectionState {
  /** null: the curve of the selected take. */
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
  /** null: one curve for each of the first mics. */
  readonly shownIds: readonly number[] | null
  readonly normalising: Normalising
  readonly difference: {
    readonly curveId: number | null
    readonly subtractedCurveId: number | null
    readonly isShown: boolean
  }
  readonly correction: CorrectionState
  readonly carry: CarryState
}

const { target: _, ...limits } = defaultStages['mic-correction'].settings

const state = createStore<MicsState>()(() => ({
  view: 'curves',
  shownIds: null,
  normalising: { kind: 'at', frequencyHz: 1000 },
  difference: { curveId: null, subtractedCurveId: null, isShown: false },
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
}))

/** The current state; the component re-renders when it changes. */
export const useMicsState = (): MicsState => useStore(state)

/** The current state, outside of components. */
export const readMicsState = state.getState

/** Replaces the given fields. */
export const changeMicsState = (changes: Partial<MicsState>): void => state.setState(changes)

/** Replaces the given fields of the correction. */
export const changeCorrection = (changes: Partial<CorrectionState>): void =>
  state.setState(({ correction }) => ({ correction: { ...correction, ...changes } }))

/** Replaces the given fields of the carry. */
export const changeCarry = (changes: Partial<CarryState>): void =>
  state.setState(({ carry }) => ({ carry: { ...carry, ...changes } }))

/** Adds a curve to the overlay, or removes it. */
export function showCurve(curveId: number, isShown: boolean, shownIds: readonly number[]): void {
  const others = shownIds.filter((id) => id !== curveId)
  changeMicsState({ shownIds: isShown ? [...others, curveId] : others })
}
