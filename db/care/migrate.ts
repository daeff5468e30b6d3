// Migrates a catalogue file to the newest schema version, one transaction per migration.

import type { Database } from 'better-sqlite3'
import { keepRowHashes } from './row-hashes.ts'

/** One schema change. Never edit a migration that has shipped; correct it with a new one. */
export interface Migration {
  /** Ascending from 1; the `user_version` that the file has afterwards. */
  readonly number: number
  /** Runs inside a transaction and with foreign keys off, so that tables can be rebuilt. */
  migrate(db: Database): void
}

/** The number of the last migration applied to the file. */
export const versionOf = (db: Database): number => db.pragma('user_version', { simple: true }) as number

/** The migrations not yet applied to the file. */
export function pendingMigrations(db: Database, migrations: readonly Migration[]): readonly Migration[] {
  const version = versionOf(db)
  return migrations.filter((migration) => migration.number > version)
}

/** Applies the pending migrations, each one atomically. */
export function migrate(db: Database, migrations: readonly Migration[]): void {
  const pending = pendingMigrations(db, migrations)
  if (pending.length === 0) return
  db.pragma('foreign_keys = OFF')
  // A rebuilt table gets the name of the one it replaces without changing the views and triggers that read it.
  db.pragma('legacy_alter_table = ON')
  const run = (migration: Migration): void => runOnce(db, migration)
  for (const migration of pending) db.transaction(run).immediate(migration)
  db.pragma('legacy_alter_table = OFF')
}

function runOnce(db: Database, migration: Migration): void {
  // Another process may have opened the same file and applied it first.
  if (versionOf(db) >= migration.number) return
  migration.migrate(db)
  keepRowHashes(db)
  const broken = db.pragma('foreign_key_check') as unknown[]
  if (broken.length > 0) {
    throw new Error(`Migration ${migration.number} leaves ${broken.length} rows with dangling references`)
  }
  db.pragma(`user_version = ${migration.number}`)
}
