// Opens a catalogue's SQLite file: looks before it writes, so that a file which is
// damaged, foreign or newer is refused and left as it was.

import { accessSync, constants, existsSync, statSync } from 'node:fs'
import { dirname } from 'node:path'
import Database from 'better-sqlite3'
import { Failure } from '../../app/contract/failure.ts'
import { createFileBy } from '../../app/files/written-by-others.ts'
import { damageFailure, hasWayBack, isQuickToCheck, refuseDamage, refuseStrangeSchema } from './damage.ts'
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
  createWhole(path, migrations)
  const db = new Database(path, { timeout: BUSY_TIMEOUT_MS })
  try {
    addRowHash(db)
    recognise(db, migrations)
    const [first] = pendingMigrations(db, migrations)
    refuseStrangeSchema(db, migrations)
    if (first !== undefined || isQuickToCheck(path)) refuseDamage(db)
    if (first !== undefined) keepCopyBefore(db, first.number)
    db.pragma('journal_mode = WAL')
    // What was saved outlives a power cut as well; an engineer's clicks are few enough to wait for the disk.
    db.pragma('synchronous = FULL')
    // On macOS fsync alone stops at the disk's own cache. Elsewhere these do nothing.
    db.pragma('fullfsync = ON')
    db.pragma('checkpoint_fullfsync = ON')
    migrate(db, migrations)
    db.pragma('foreign_keys = ON')
    return db
  } catch (error) {
    db.close()
    throw error
  }
}

/**
 * A new catalogue appears with all its tables, so that an empty file is never one. It is readable by its
 * user alone; SQLite gives its log the same permissions.
 */
function createWhole(path: string, migrations: readonly Migration[]): void {
  if (existsSync(path)) return
  try {
    createFileBy(path, (freshPath) => {
      const db = new Database(freshPath)
      try {
        addRowHash(db)
        migrate(db, migrations)
      } finally {
        db.close()
      }
    })
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
  if (file === undefined || file.size < HEADER_BYTES) refuseRemains(path, file?.size ?? null)
}

/** The length of the header of a SQLite file (sqlite.org/fileformat2.html, 1.3). */
const HEADER_BYTES = 100

/**
 * SQLite takes a missing, empty or very short file for a new database, and deletes the log beside it. A new
 * catalogue is only made where there is no file and nothing is left of an old one.
 */
function refuseRemains(path: string, sizeBytes: number | null): void {
  const what =
    sizeBytes === null
      ? 'the file is missing'
      : sizeBytes === 0
        ? 'the file is empty'
        : 'the file is cut short'
  const log = `${path}-wal`
  if ((statSync(log, { throwIfNoEntry: false })?.size ?? 0) > 0) {
    throw damageFailure(`${what}, and its log ${log} is left`, path)
  }
  if (hasWayBack(path)) throw damageFailure(`${what}, and earlier copies of it are left`, path)
  if (sizeBytes === null) return
  if (sizeBytes > 0) throw damageFailure('it is not a database, or most of it is missing', path)
  throw new Failure(
    'invalid-input',
    `${path} is empty, so it is not a catalogue; choose another file, or a new name for a new catalogue.`,
    { path },
  )
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

/** Refuses what is not a catalogue of a version that this program knows; only reads. */
function recognise(db: Database.Database, migrations: readonly Migration[]): void {
  const version = versionOf(db)
  if (db.pragma('application_id', { simple: true }) !== APPLICATION_ID) {
    throw new Failure(
      'invalid-input',
      `${db.name} is a database of another program, not a Takeloft catalogue; choose another file.`,
      { path: db.name },
    )
  }
  const newest = migrations.at(-1)?.number ?? 0
  if (version > newest) throw newerVersionFailure(db.name, version, newest)
}

/** For a file that a newer Takeloft has migrated. */
export const newerVersionFailure = (path: string, version: number, newest: number): Failure =>
  new Failure(
    'newer-version',
    `The catalogue ${path} has version ${version}, and this Takeloft knows up to ${newest}; update Takeloft to open it.`,
    { path, version, newest },
  )
