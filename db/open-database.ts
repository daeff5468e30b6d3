// Opens a catalogue's SQLite file: looks before it writes, so that a file which is
// damaged, foreign or newer is refused and left as it was.

import { accessSync, constants, statSync } from 'node:fs'
import { dirname } from 'node:path'
import Database from 'better-sqlite3'
import { Failure } from '../app/contract/failure.ts'
import { type Migration, migrate, versionOf } from './migrate.ts'

/** The `application_id` of a catalogue: the bytes "TKLF". */
const APPLICATION_ID = 0x544b_4c46

/** How long a call waits for another process's write. Common practice: short enough to feel like a hitch. */
const BUSY_TIMEOUT_MS = 2000

/**
 * The open file, migrated, in write-ahead mode and with foreign keys on.
 * @param path absolute
 * @throws Failure `not-found` (no such folder), `invalid-input` (not a catalogue's file), `newer-version`,
 *   `catalogue-damaged`, `not-writable`; errors of SQLite as they come
 */
export function openDatabase(path: string, migrations: readonly Migration[]): Database.Database {
  refuseWrongPlace(path)
  refuseReadOnly(path)
  const db = new Database(path, { timeout: BUSY_TIMEOUT_MS })
  try {
    const isNew = recognise(db, migrations)
    db.pragma('journal_mode = WAL')
    // What was saved outlives a power cut as well; an engineer's clicks are few enough to wait for the disk.
    db.pragma('synchronous = FULL')
    migrate(db, migrations, isNew)
    db.pragma('foreign_keys = ON')
    return db
  } catch (error) {
    db.close()
    throw error
  }
}

function refuseWrongPlace(path: string): void {
  if (statSync(dirname(path), { throwIfNoEntry: false }) === undefined) {
    throw new Failure(
      'not-found',
      `The folder ${dirname(path)} for the catalogue does not exist; make it or choose another place.`,
      { path },
    )
  }
  const file = statSync(path, { throwIfNoEntry: false })
  if (file !== undefined && !file.isFile()) {
    throw new Failure('invalid-input', `${path} is not a file; name the file of a catalogue.`, { path })
  }
  // SQLite takes an empty file for a new database and throws away the log beside it, which here would be all that is left.
  const log = statSync(`${path}-wal`, { throwIfNoEntry: false })
  if (file?.size === 0 && log !== undefined && log.size > 0) {
    throw new Failure(
      'catalogue-damaged',
      `The catalogue ${path} is empty although a write-ahead log stands beside it, so it was cut off; put back an earlier copy of both files.`,
      { path },
    )
  }
}

/** SQLite opens a file that it may only read without complaint, and leaves a log beside it that it cannot clear away. */
function refuseReadOnly(path: string): void {
  if (statSync(path, { throwIfNoEntry: false }) === undefined) return
  try {
    accessSync(path, constants.R_OK | constants.W_OK)
  } catch (error) {
    throw new Failure(
      'not-writable',
      `The catalogue ${path} cannot be read and written; allow both, or choose another file.`,
      { path },
      error,
    )
  }
}

/** Whether the file is new; only reads. */
function recognise(db: Database.Database, migrations: readonly Migration[]): boolean {
  const version = versionOf(db)
  const isEmpty = db.prepare('SELECT count(*) FROM sqlite_schema').pluck().get() === 0
  if (isEmpty && version === 0) return true
  if (db.pragma('application_id', { simple: true }) !== APPLICATION_ID) {
    throw new Failure(
      'invalid-input',
      `${db.name} is a database of another program, not a Takeloft catalogue; choose another file.`,
      { path: db.name },
    )
  }
  const newest = migrations.at(-1)?.number ?? 0
  if (version > newest) {
    throw new Failure(
      'newer-version',
      `The catalogue ${db.name} has version ${version}, and this Takeloft knows up to ${newest}; update Takeloft to open it.`,
      { path: db.name, version, newest },
    )
  }
  return false
}
