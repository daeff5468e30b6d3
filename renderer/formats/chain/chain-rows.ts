// A chain being edited. Rows keep their identity while stages move, and stages that run on each
// layer always come before those that run on the sum.

import {
  type ChainStage,
  type ChainStages,
  defaultStages,
  isLayerStage,
} from '../../../app/contract/chain-document.ts'
import type { StageKind } from '../../../app/words/chain/setting-names.ts'

/** One stage of a chain being edited. */
export interface ChainRow {
  /** Stays with the stage through moves, edits and undo. */
  readonly key: number
  readonly stage: ChainStage
}
/** In the order of the signal path. */
export type ChainRows = readonly ChainRow[]

let lastKey = 0

/** Gives every stage a new key. */
export const rowsOf = (stages: ChainStages): ChainRows => stages.map((stage) => ({ key: ++lastKey, stage }))

/** Rows for stages that replace others: with the same kinds in the same order, they keep their keys. */
export function rowsInPlaceOf(rows: ChainRows, stages: ChainStages): ChainRows {
  const isAlike =
    rows.length === stages.length && rows.every(({ stage }, index) => stage.kind === stages[index].kind)
  return isAlike ? stages.map((stage, index) => ({ key: rows[index].key, stage })) : rowsOf(stages)
}

/** The stages in order, as they are saved and processed. */
export const stagesOf = (rows: ChainRows): ChainStages => rows.map((row) => row.stage)

const countLayerStages = (rows: ChainRows): number => rows.filter(({ stage }) => isLayerStage(stage)).length

/**
 * The index nearest to `wanted` that a stage of this kind may have.
 * @param others the rows without that stage
 */
function allowedIndex(others: ChainRows, kind: StageKind, wanted: number): number {
  const border = countLayerStages(others)
  return isLayerStage({ kind }) ? Math.min(wanted, border) : Math.max(wanted, border)
}

/** Inserts a stage with default settings, as near to index `wanted` as the order allows. */
export function insertStage(rows: ChainRows, kind: StageKind, wanted: number): ChainRows {
  const at = allowedIndex(rows, kind, wanted)
  // A copy, so that the defaults are never shared.
  return [
    ...rows.slice(0, at),
    { key: ++lastKey, stage: structuredClone(defaultStages[kind]) },
    ...rows.slice(at),
  ]
}

/** The rows without one stage. */
export const removeStage = (rows: ChainRows, key: number): ChainRows => rows.filter((row) => row.key !== key)

/**
 * Moves a stage as near to index `wanted` as the order allows.
 * @returns the same array if nothing changes
 */
export function moveStage(rows: ChainRows, key: number, wanted: number): ChainRows {
  const row = rows.find((candidate) => candidate.key === key)
  if (row === undefined) return rows
  const others = removeStage(rows, key)
  const at = allowedIndex(others, row.stage.kind, Math.min(others.length, Math.max(0, wanted)))
  return at === rows.indexOf(row) ? rows : [...others.slice(0, at), row, ...others.slice(at)]
}

/** Replaces the stage of one row; the row keeps its key. */
export const replaceStage = (
  rows: ChainRows,
  key: number,
  change: (stage: ChainStage) => ChainStage,
): ChainRows => rows.map((row) => (row.key === key ? { ...row, stage: change(row.stage) } : row))

/** The usual order of a vocal chain. Common practice. */
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

/** A new chain in the usual order, with default settings. */
export const usualStages = (): ChainStages => USUAL_ORDER.map((kind) => structuredClone(defaultStages[kind]))

/** An expander is not in every chain; it usually comes before anything that changes its threshold. */
const USUAL_PLACES: readonly StageKind[] = USUAL_ORDER.toSpliced(1, 0, 'expander')

/** Index at which a stage of this kind is usually inserted: before the first that usually follows it. */
export function usualPlace(rows: ChainRows, kind: StageKind): number {
  const rank = USUAL_PLACES.indexOf(kind)
  const at = rows.findIndex(({ stage }) => USUAL_PLACES.indexOf(stage.kind) > rank)
  return at === -1 ? rows.length : at
}
