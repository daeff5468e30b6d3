// Takes a catalogue file from the version it has to the newest: one transaction per
// migration, with a copy of the file kept beside it first; a new file gets all in one.

import { closeSync, fsyncSync, openSync, renameSync, rmSync } from 'node:fs'
import type { Database } from 'better-sqlite3'
import { Failure } from '../app/contract/failure.ts'

/** One step of the catalogue's form. Never edited once it has shipped; a correction is a new migration. */
export interface Migration {
  /** 1, 2, 3 …; the `user_version` that the file has afterwards. */
  readonly number: number
  /** Runs inside a transaction and with foreign keys off, so that tables can be rebuilt. */
  migrate(db: Database): void
}

export const versionOf = (db: Database): number => db.pragma('user_version', { simple: true }) as number

/**
 * Runs the migrations that the file has not had. A file with content is checked and copied to
 * `<file>.before-<n>` first, n being the first of them; each migration is done whole or not at all.
 * @throws Failure `catalogue-damaged` when the file does not pass SQLite's own check
 */
export function migrate(db: Database, migrations: readonly Migration[], isNew: boolean): void {
  const version = versionOf(db)
  const pending = migrations.filter((migration) => migration.number > version)
  const first = pending[0]
  if (first === undefined) return
  if (!isNew) {
    refuseDamaged(db)
    keepCopy(db, `${db.name}.before-${first.number}`)
  }
  db.pragma('foreign_keys = OFF')
  const run = (migration: Migration): void => runOnce(db, migration)
  // Of a new file nobody else may see an older form, which they would begin to copy and to migrate themselves.
  if (isNew) db.transaction(() => pending.forEach(run)).immediate()
  else for (const migration of pending) db.transaction(run).immediate(migration)
}

function runOnce(db: Database, migration: Migration): void {
  // Another process may have opened the same file and been here first.
  if (versionOf(db) >= migration.number) return
  migration.migrate(db)
  const broken = db.pragma('foreign_key_check') as unknown[]
  if (broken.length > 0) {
    throw new Error(`Migration ${migration.number} leaves ${broken.length} rows that refer to nothing`)
  }
  db.pragma(`user_version = ${migration.number}`)
}

function refuseDamaged(db: Database): void {
  const complaint = db.pragma('quick_check(1)', { simple: true }) as string
  if (complaint === 'ok') return
  throw new Failure(
    'catalogue-damaged',
    `The catalogue ${db.name} is damaged (${complaint}) and was left as it is; put back an earlier copy of the file.`,
    { path: db.name },
  )
}

/** A copy that holds all that is committed, also what still stands in the write-ahead log. */
function keepCopy(db: Database, path: string): void {
  const part = `${path}.part`
  rmSync(part, { force: true })
  try {
    db.prepare('VACUUM INTO ?').run(part)
    const file = openSync(part, 'r+')
    fsyncSync(file)
    closeSync(file)
    renameSync(part, path)
  } catch (error) {
    rmSync(part, { force: true })
    throw error
  }
}
