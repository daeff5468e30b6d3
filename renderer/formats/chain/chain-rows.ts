// The chain as it is worked on: rows that keep their identity while stages move, and the
// one rule of order, that what runs on each layer stands before what runs on the sum.

import {
  type ChainStage,
  type ChainStages,
  defaultStages,
  isLayerStage,
} from '../../../app/contract/chain-document.ts'

export type StageKind = ChainStage['kind']

export interface ChainRow {
  /** Stays with the stage through moves, edits and undo. */
  readonly key: number
  readonly stage: ChainStage
}
export type ChainRows = readonly ChainRow[]

let lastKey = 0

export const rowsOf = (stages: ChainStages): ChainRows => stages.map((stage) => ({ key: ++lastKey, stage }))

export const stagesOf = (rows: ChainRows): ChainStages => rows.map((row) => row.stage)

const countLayerStages = (rows: ChainRows): number => rows.filter(({ stage }) => isLayerStage(stage)).length

/** The nearest place to `wanted` at which a stage of this kind may stand among the others. */
export function allowedIndex(others: ChainRows, kind: StageKind, wanted: number): number {
  const border = countLayerStages(others)
  return isLayerStage({ kind }) ? Math.min(wanted, border) : Math.max(wanted, border)
}

export function insertStage(rows: ChainRows, kind: StageKind, wanted: number): ChainRows {
  const at = allowedIndex(rows, kind, wanted)
  // A copy: a default is never handed out to be shared.
  return [
    ...rows.slice(0, at),
    { key: ++lastKey, stage: structuredClone(defaultStages[kind]) },
    ...rows.slice(at),
  ]
}

export const removeStage = (rows: ChainRows, key: number): ChainRows => rows.filter((row) => row.key !== key)

/** Moves to the nearest allowed place; the same rows where that changes nothing. */
export function moveStage(rows: ChainRows, key: number, wanted: number): ChainRows {
  const row = rows.find((candidate) => candidate.key === key)
  if (row === undefined) return rows
  const others = removeStage(rows, key)
  const at = allowedIndex(others, row.stage.kind, Math.min(others.length, Math.max(0, wanted)))
  return at === rows.indexOf(row) ? rows : [...others.slice(0, at), row, ...others.slice(at)]
}

export const replaceStage = (
  rows: ChainRows,
  key: number,
  change: (stage: ChainStage) => ChainStage,
): ChainRows => rows.map((row) => (row.key === key ? { ...row, stage: change(row.stage) } : row))

/** The order in which the trade usually builds a vocal chain. Common practice. */
const USUAL_ORDER: readonly StageKind[] = [
  'trim',
  'mic-correction',
  'low-cut',
  'tone',
  'de-ess',
  'drive',
  'opto',
  'ceiling',
]

export const usualStages = (): ChainStages => USUAL_ORDER.map((kind) => structuredClone(defaultStages[kind]))

/** Where a stage of this kind usually comes in: before the first that usually stands after it. */
export function usualPlace(rows: ChainRows, kind: StageKind): number {
  const rank = USUAL_ORDER.indexOf(kind)
  const at = rows.findIndex(({ stage }) => USUAL_ORDER.indexOf(stage.kind) > rank)
  return at === -1 ? rows.length : at
}
