// What the Mics place has on the table: which curves lie over each other, how, and what is
// being corrected, carried or traced. It stays while other places are looked at.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import {
  defaultStages,
  type MicCorrectionAims,
  type ProximityShelf,
} from '../../../app/contract/chain-document.ts'
import type { CarryAim } from '../../../app/contract/correction.ts'
import type { Normalising } from './curve-axes.ts'

export const MIC_VIEWS = ['curves', 'correction', 'carry', 'trace'] as const
export type MicView = (typeof MIC_VIEWS)[number]

export interface CorrectionDesk {
  /** null: the mic of the take that is chosen. */
  readonly sourceId: number | null
  /** null: flat. */
  readonly targetId: number | null
  readonly limits: Omit<MicCorrectionAims, 'target' | 'proximity'>
  readonly proximity: ProximityShelf | null
  readonly voiceDistanceM: number
}

export interface CarryDesk {
  readonly chainId: number | null
  readonly versionId: number | null
  readonly fromId: number | null
  readonly toId: number | null
  readonly aim: CarryAim | null
  readonly maxBoostDb: number | null
  readonly maxCutDb: number | null
}

export interface MicsDesk {
  readonly view: MicView
  /** null: the first few. */
  readonly shownIds: readonly number[] | null
  readonly normalising: Normalising
  readonly difference: {
    readonly curveId: number | null
    readonly lessCurveId: number | null
    readonly isShown: boolean
  }
  readonly correction: CorrectionDesk
  readonly carry: CarryDesk
}

const { target: _, ...limits } = defaultStages['mic-correction'].settings

const desk = createStore<MicsDesk>()(() => ({
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
}))

export const useMicsDesk = (): MicsDesk => useStore(desk)
export const readMicsDesk = desk.getState

export const changeMicsDesk = (changes: Partial<MicsDesk>): void => desk.setState(changes)
export const changeCorrection = (changes: Partial<CorrectionDesk>): void =>
  desk.setState(({ correction }) => ({ correction: { ...correction, ...changes } }))
export const changeCarry = (changes: Partial<CarryDesk>): void =>
  desk.setState(({ carry }) => ({ carry: { ...carry, ...changes } }))

/** Lays a curve on the sheet as well, or takes it off. */
export function showCurve(curveId: number, isShown: boolean, shownIds: readonly number[]): void {
  const others = shownIds.filter((id) => id !== curveId)
  changeMicsDesk({ shownIds: isShown ? [...others, curveId] : others })
}
