// A proposed stage taken into the chain on the table: into the stage of its kind where there
// is one, else as a new one in its usual place. Bands that were set by hand stay.

import type { ChainStage } from '../../app/contract/chain-document.ts'
import { defaultStages } from '../../app/contract/chain-document.ts'
import { MAX_BANDS } from '../../app/contract/text/limits.ts'
import {
  type ChainRow,
  type ChainRows,
  insertStage,
  replaceStage,
  usualPlace,
} from '../formats/chain/chain-rows.ts'

type ToneStage = Extract<ChainStage, { kind: 'tone' }>
type ToneBand = ToneStage['settings']['bands'][number]

/** Bands of one shape closer than a third of an octave do the same work. */
const isSameWork = (a: ToneBand, b: ToneBand): boolean =>
  a.shape === b.shape && Math.abs(Math.log2(a.frequencyHz / b.frequencyHz)) < 1 / 3

const isAlike = (a: unknown, b: unknown): boolean => JSON.stringify(a) === JSON.stringify(b)

const rowOf = (rows: ChainRows, stage: ChainStage): ChainRow | undefined =>
  rows.find((row) => row.stage.kind === stage.kind)

/** A stage nobody has touched yet holds nothing that could be lost. */
const isUntouched = (stage: ChainStage): boolean =>
  isAlike(stage.settings, defaultStages[stage.kind].settings)

function merged(there: ChainStage, proposed: ChainStage): ChainStage {
  if (there.kind !== 'tone' || proposed.kind !== 'tone' || isUntouched(there))
    return structuredClone(proposed)
  const { bands } = proposed.settings
  const kept = there.settings.bands.filter((band) => !bands.some((one) => isSameWork(one, band)))
  return {
    ...there,
    on: true,
    settings: { bands: structuredClone([...kept, ...bands]).slice(0, MAX_BANDS) },
  }
}

export function takeIn(rows: ChainRows, proposed: ChainStage): ChainRows {
  const there = rowOf(rows, proposed)
  if (there !== undefined) return replaceStage(rows, there.key, (stage) => merged(stage, proposed))
  const added = insertStage(rows, proposed.kind, usualPlace(rows, proposed.kind))
  return replaceStage(added, rowOf(added, proposed)!.key, () => structuredClone(proposed))
}

/** Whether the chain already does what is proposed. */
export function isTakenIn(rows: ChainRows, proposed: ChainStage): boolean {
  const there = rowOf(rows, proposed)?.stage
  if (there === undefined || !there.on) return false
  if (there.kind !== 'tone' || proposed.kind !== 'tone') return isAlike(there.settings, proposed.settings)
  return proposed.settings.bands.every((band) => there.settings.bands.some((one) => isAlike(one, band)))
}

/** What putting it in would do to the chain, in one sentence. */
export function takingInWords(rows: ChainRows, proposed: ChainStage): string {
  const there = rowOf(rows, proposed)?.stage
  if (there === undefined) return 'Comes into the chain as a new stage.'
  if (there.kind !== 'tone' || isUntouched(there)) return 'Sets the stage that is in the chain.'
  return 'Adds its bands to the stage that is in the chain; bands of the same work are replaced.'
}
