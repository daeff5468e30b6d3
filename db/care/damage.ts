// Detects damage to a catalogue before its contents are used, and tells the user how to restore it.

import { statSync } from 'node:fs'
import type { Database } from 'better-sqlite3'
import { Failure } from '../../app/contract/failure.ts'
import { describeSchema, schemaOf } from '../schema.ts'
import { type Migration, versionOf } from './migrate.ts'
import { listRescued } from './rescue.ts'
import { findDamagedRow } from './row-hashes.ts'
import { listSnapshots } from './snapshots.ts'

/** Checking a larger file takes long enough to be noticed. */
const QUICK_TO_CHECK_BYTES = 32 * 1024 * 1024

/** Whether a file is small enough to be checked while it is opened; larger ones are checked on a thread. */
export const isQuickToCheck = (path: string): boolean =>
  (statSync(path, { throwIfNoEntry: false })?.size ?? 0) <= QUICK_TO_CHECK_BYTES

/** @param what the damage, worded as part of the sentence */
export const damageFailure = (what: string, path: string): Failure =>
  new Failure('catalogue-damaged', damageSentence(what, path), { path })

/** A sentence with the damage and how to restore the catalogue. */
export function damageSentence(what: string, path: string): string {
  return `The catalogue ${path} is damaged (${what}) and was left as it is; ${wayBackTo(path)}.`
}

/** Whether there are snapshots or rescued files of the catalogue at `path`. */
export const hasWayBack = (path: string): boolean => newestCopy(path) !== null

function wayBackTo(path: string): string {
  const newest = newestCopy(path)
  return newest === null
    ? 'put back a copy of the file from your own backup'
    : `close Takeloft, move the file and its log (-wal), where they are still there, to another place, and copy ${newest.path}, kept on ${newest.at.slice(0, 10)} at ${newest.at.slice(11, 16)} UTC, to ${path}`
}

/** The newest of snapshots and rescued files. */
function newestCopy(path: string): { path: string; at: string } | null {
  const copies = [...listSnapshots(path).slice(0, 1), ...listRescued(path).slice(0, 1)]
  return copies.sort((a, b) => (a.at < b.at ? 1 : -1))[0] ?? null
}

/** @throws Failure `catalogue-damaged` when the schema is not that of the file's version */
export function refuseStrangeSchema(db: Database, migrations: readonly Migration[]): void {
  const version = versionOf(db)
  const actual = describeSchema(db)
  const wanted = schemaOf(migrations.filter(({ number }) => number <= version))
  if (actual === wanted) return
  const lacking = wanted.split(';\n').find((statement) => !actual.includes(statement)) ?? 'nothing'
  const [, kind, name] = /CREATE (?:VIRTUAL )?(TABLE|INDEX|TRIGGER) (\w+)/.exec(lacking) ?? []
  const part = kind === undefined ? 'a part of it' : `the ${kind.toLowerCase()} ${name}`
  throw damageFailure(`${part} is missing or changed`, db.name)
}

/**
 * Reads the whole file: SQLite's own check, references between rows, and the hash of every row.
 * @throws Failure `catalogue-damaged`; SQLite errors unchanged
 */
export function refuseDamage(db: Database): void {
  const complaint = findDamage(db)
  if (complaint !== null) throw damageFailure(complaint, db.name)
}

/** SQLite never uses the page at this place of a file: https://www.sqlite.org/fileformat2.html, 1.4. */
const LOCK_BYTE = 2 ** 30

/**
 * SQLite's own check leaves the free pages out if the first table in its memory has no pages of its own, as an
 * index of words has none; which table is first depends on names and order of all tables.
 */
function pagesOf(db: Database): { readonly used: number; readonly free: number; readonly all: number } {
  const setting = (name: string): number => db.pragma(name, { simple: true }) as number
  const used = db.prepare<[], number>('SELECT count(*) FROM dbstat').pluck().get() ?? 0
  const pages = setting('page_count')
  return {
    used,
    free: setting('freelist_count'),
    all: pages * setting('page_size') > LOCK_BYTE ? pages - 1 : pages,
  }
}

/** The first damage found, in words; null if there is none. */
function findDamage(db: Database): string | null {
  const complaints = (db.pragma('integrity_check(3)') as { integrity_check: string }[]).map(
    (row) => row.integrity_check,
  )
  if (complaints[0] !== 'ok') return complaints[0]
  const pages = pagesOf(db)
  if (pages.used + pages.free !== pages.all) {
    return `${pages.used} used and ${pages.free} free pages are not the file's ${pages.all}`
  }
  const [reference] = db.pragma('foreign_key_check') as { table: string; rowid: number }[]
  if (reference !== undefined) return `row ${reference.rowid} of ${reference.table} refers to nothing`
  const row = findDamagedRow(db)
  return row === null ? null : `the row ${row} was changed by something other than Takeloft`
}
