// Opens a catalogue's SQLite file: looks before it writes, so that a file which is
// damaged, foreign or newer is refused and left as it was.

import { accessSync, constants, existsSync, statSync } from 'node:fs'
import { dirname } from 'node:path'
import Database from 'better-sqlite3'
import { Failure } from '../../app/contract/failure.ts'
import { createPrivateFile } from '../../app/files/new-file.ts'
import { writeNewFile } from '../../app/files/write-file.ts'
import { damageFailure, isQuickToCheck, refuseDamage, refuseStrangeSchema } from './damage.ts'
import { keepCopyBefore } from './keep-copy.ts'
import { type Migration, migrate, pendingMigrations, versionOf } from './migrate.ts'
import { addRowHash } from './row-hashes.ts'

/** The `application_id` of a catalogue: the bytes "TKLF". */
const APPLICATION_ID = 0x544b_4c46

/** How long a call waits for another process's write. Common practice: short enough to feel like a hitch. */
const BUSY_TIMEOUT_MS = 2000

/**
 * The open file, migrated, in write-ahead mode and with foreign keys on. A file that is quick to
 * check is checked whole; a larger one is left to checkCatalogueFile.
 * @param path absolute
 * @throws Failure `not-found` (no such folder), `invalid-input` (not a catalogue's file), `newer-version`,
 *   `catalogue-damaged`, `not-writable`; errors of SQLite as they come
 */
export function openDatabase(path: string, migrations: readonly Migration[]): Database.Database {
  refuseWrongPlace(path)
  refuseReadOnly(path)
  createPrivately(path)
  const db = new Database(path, { timeout: BUSY_TIMEOUT_MS })
  try {
    addRowHash(db)
    const isNew = recognise(db, migrations)
    if (!isNew) {
      const [first] = pendingMigrations(db, migrations)
      refuseStrangeSchema(db, migrations)
      if (first !== undefined || isQuickToCheck(path)) refuseDamage(db)
      if (first !== undefined) keepCopyBefore(db, first.number)
    }
    db.pragma('journal_mode = WAL')
    // What was saved outlives a power cut as well; an engineer's clicks are few enough to wait for the disk.
    db.pragma('synchronous = FULL')
    // On macOS fsync alone stops at the disk's own cache. Elsewhere these do nothing.
    db.pragma('fullfsync = ON')
    db.pragma('checkpoint_fullfsync = ON')
    migrate(db, migrations, isNew)
    db.pragma('foreign_keys = ON')
    return db
  } catch (error) {
    db.close()
    throw error
  }
}

/** A catalogue is readable by its user alone; SQLite gives its log the same permissions. */
function createPrivately(path: string): void {
  if (existsSync(path)) return
  try {
    writeNewFile(path, '', createPrivateFile)
  } catch (error) {
    // Another process may have made it in the meantime.
    if (!(error instanceof Failure && error.code === 'conflict')) throw error
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
  refuseLogAlone(path, file?.size ?? 0)
}

/**
 * SQLite takes a missing or empty file for a new database and deletes the log beside it, which is
 * then all that is left.
 */
function refuseLogAlone(path: string, sizeBytes: number): void {
  if (sizeBytes > 0) return
  const log = `${path}-wal`
  if ((statSync(log, { throwIfNoEntry: false })?.size ?? 0) === 0) return
  throw damageFailure(`the file is missing or empty, and only its log ${log} is left`, path)
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
