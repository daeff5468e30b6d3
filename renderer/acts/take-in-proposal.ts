// Puts a proposed stage into a chain: into the stage of its kind, or as a new stage in its usual place.
// Bands of an edited tone stage are kept, except those in the same region as a proposed band.

import type { Band, ChainStage } from '../../app/contract/chain-document.ts'
import { defaultStages } from '../../app/contract/chain-document.ts'
import { MAX_BANDS } from '../../app/contract/text/limits.ts'
import {
  type ChainRow,
  type ChainRows,
  insertStage,
  replaceStage,
  usualPlace,
} from '../formats/chain/chain-rows.ts'

/** Bands of the same shape less than a third of an octave apart act on the same region. */
const isSameRegion = (a: Band, b: Band): boolean =>
  a.shape === b.shape && Math.abs(Math.log2(a.frequencyHz / b.frequencyHz)) < 1 / 3

const isAlike = (a: unknown, b: unknown): boolean => JSON.stringify(a) === JSON.stringify(b)

const rowOf = (rows: ChainRows, stage: ChainStage): ChainRow | undefined =>
  rows.find((row) => row.stage.kind === stage.kind)

/** Whether the stage still has its default settings, so that nothing is lost by replacing them. */
const isUntouched = (stage: ChainStage): boolean =>
  isAlike(stage.settings, defaultStages[stage.kind].settings)

function merged(there: ChainStage, proposed: ChainStage): ChainStage {
  if (there.kind !== 'tone' || proposed.kind !== 'tone' || isUntouched(there))
    return structuredClone(proposed)
  const { bands } = proposed.settings
  const kept = there.settings.bands.filter((band) => !bands.some((one) => isSameRegion(one, band)))
  return {
    ...there,
    on: true,
    settings: { bands: structuredClone([...kept, ...bands]).slice(0, MAX_BANDS) },
  }
}

/** @returns the rows with the proposal in them; at most MAX_BANDS bands are kept */
export function takeIn(rows: ChainRows, proposed: ChainStage): ChainRows {
  const there = rowOf(rows, proposed)
  if (there !== undefined) return replaceStage(rows, there.key, (stage) => merged(stage, proposed))
  const added = insertStage(rows, proposed.kind, usualPlace(rows, proposed.kind))
  return replaceStage(added, rowOf(added, proposed)!.key, () => structuredClone(proposed))
}

/** Whether the chain already contains the proposal, switched on. */
export function isTakenIn(rows: ChainRows, proposed: ChainStage): boolean {
  const there = rowOf(rows, proposed)?.stage
  if (there === undefined || !there.on) return false
  if (there.kind !== 'tone' || proposed.kind !== 'tone') return isAlike(there.settings, proposed.settings)
  return proposed.settings.bands.every((band) => there.settings.bands.some((one) => isAlike(one, band)))
}

/** What takeIn would do to the chain, in one sentence. */
export function takingInWords(rows: ChainRows, proposed: ChainStage): string {
  const there = rowOf(rows, proposed)?.stage
  if (there === undefined) return 'Adds a new stage to the chain.'
  if (there.kind !== 'tone' || isUntouched(there)) return 'Sets the existing stage.'
  return 'Adds its bands to the existing stage; bands of the same shape within a third of an octave are replaced.'
}
