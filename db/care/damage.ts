// Damage to a catalogue: found before anything is made of it, and said with the way back.

import { statSync } from 'node:fs'
import type { Database } from 'better-sqlite3'
import { Failure } from '../../app/contract/failure.ts'
import { describeSchema, schemaOf } from '../schema.ts'
import { type Migration, versionOf } from './migrate.ts'
import { findDamagedRow } from './row-hashes.ts'
import { listSnapshots } from './snapshots.ts'

/** Checking a larger file takes long enough to be noticed. */
const QUICK_TO_CHECK_BYTES = 32 * 1024 * 1024

/** Whether a file is checked while it is opened; larger ones are checked by a thread. */
export const isQuickToCheck = (path: string): boolean =>
  (statSync(path, { throwIfNoEntry: false })?.size ?? 0) <= QUICK_TO_CHECK_BYTES

/** @param what was found, as part of the sentence */
export const damageFailure = (what: string, path: string): Failure =>
  new Failure('catalogue-damaged', damageSentence(what, path), { path })

/** Says what was found and which way leads back. */
export function damageSentence(what: string, path: string): string {
  const [newest] = listSnapshots(path)
  const wayBack =
    newest === undefined
      ? 'put back a copy of the file from your own backup'
      : `close Takeloft, move the file and its log (-wal) to another place, and copy ${newest.path}, kept on ${newest.at.slice(0, 10)} at ${newest.at.slice(11, 16)} UTC, to ${path}`
  return `The catalogue ${path} is damaged (${what}) and was left as it is; ${wayBack}.`
}

/** @throws Failure `catalogue-damaged` where the tables are not those that the file's version has */
export function refuseStrangeSchema(db: Database, migrations: readonly Migration[]): void {
  const version = versionOf(db)
  const actual = describeSchema(db)
  const wanted = schemaOf(migrations.filter(({ number }) => number <= version))
  if (actual === wanted) return
  const lacking = wanted.split(';\n').find((statement) => !actual.includes(statement)) ?? 'nothing'
  const [, kind = 'a', name = 'part'] = /CREATE (?:VIRTUAL )?(TABLE|INDEX|TRIGGER) (\w+)/.exec(lacking) ?? []
  throw damageFailure(`the ${kind.toLowerCase()} ${name} is missing or changed`, db.name)
}

/**
 * Reads the whole file: SQLite's own check, references between rows, and the hash of every row.
 * @throws Failure `catalogue-damaged`; errors of SQLite as they come
 */
export function refuseDamage(db: Database): void {
  const complaint = findDamage(db)
  if (complaint !== null) throw damageFailure(complaint, db.name)
}

/** Null where everything is sound. */
function findDamage(db: Database): string | null {
  const complaints = (db.pragma('integrity_check(3)') as { integrity_check: string }[]).map(
    (row) => row.integrity_check,
  )
  if (complaints[0] !== 'ok') return complaints[0]
  const [reference] = db.pragma('foreign_key_check') as { table: string; rowid: number }[]
  if (reference !== undefined) return `row ${reference.rowid} of ${reference.table} refers to nothing`
  const row = findDamagedRow(db)
  return row === null ? null : `the row ${row} was changed by something other than Takeloft`
}
