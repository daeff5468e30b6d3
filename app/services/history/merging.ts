// What the parts of a merge share: the catalogue, the history, and what was found so far.

import type { Catalogue } from '../../../db/catalogue.ts'
import type { Named } from '../../../db/tables/identity/identities.ts'
import type { HistoryConflict, HistoryKind } from '../../contract/exchange/conflict.ts'
import type { HistoryAnswers, HistoryMerge } from '../../contract/exchange/merge.ts'
import { Failure } from '../../contract/failure.ts'
import type { HistoryEntries } from './read-history.ts'

/** A merge that is under way, inside of one transaction. */
export interface Merging {
  readonly catalogue: Catalogue
  readonly entries: HistoryEntries
  readonly answers: HistoryAnswers
  /** Time of the merge. */
  readonly now: string
  /** UUIDs of the computers that have written to this catalogue. */
  readonly ownMachines: readonly string[]
  readonly done: HistoryMerge
  /** UUIDs of sessions that were not taken in. */
  readonly leftOut: Set<string>
}

export function noteAdded({ done }: Merging, kind: HistoryKind, name: string): void {
  done.added.push({ kind, name })
}

export function noteConflict(
  { done }: Merging,
  conflict: HistoryConflict['conflict'],
  kind: HistoryKind,
  name: string,
  details: readonly string[] = [],
): void {
  done.conflicts.push({ conflict, kind, name, details: [...details] })
}

/** The row here of an entity of the history: by its UUID, or by one that is known to be the same. */
export function rowHere(
  { catalogue: { identities } }: Merging,
  table: Named,
  { id, also }: { readonly id: string; readonly also: readonly string[] },
): number | undefined {
  for (const uuid of [id, ...also]) {
    const row = identities.rowOf(table, uuid)
    if (row !== undefined) return row
  }
  return undefined
}

/** Notes every UUID of an entity of the history as one of the row here. */
export function joinIdentities(
  { catalogue: { identities } }: Merging,
  table: Named,
  row: number,
  { id, also }: { readonly id: string; readonly also: readonly string[] },
): void {
  for (const uuid of [id, ...also]) {
    if (identities.rowOf(table, uuid) === undefined) identities.join(table, row, uuid)
  }
}

/** The row here of what the history refers to. @throws Failure `invalid-input` where the history lacks it */
export function referredRow({ catalogue }: Merging, table: Named, uuid: string): number {
  const row = catalogue.identities.rowOf(table, uuid)
  if (row !== undefined) return row
  throw new Failure(
    'invalid-input',
    `The history names one of its ${table} by ${uuid}, and has none of that name; export it again. Nothing was merged.`,
    { table, uuid },
  )
}

/** Whether two names are the same to people. */
export const isSameName = (a: string, b: string): boolean =>
  a.localeCompare(b, 'en', { sensitivity: 'accent' }) === 0
