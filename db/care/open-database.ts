// Opens a catalogue's SQLite file. Checks it before writing, so that a file that is damaged, newer or not a
// catalogue is refused and left unchanged.

import { accessSync, constants, existsSync, statSync } from 'node:fs'
import { dirname } from 'node:path'
import Database from 'better-sqlite3'
import { Failure } from '../../app/contract/failure.ts'
import { createFileBy } from '../../app/files/written-by-others.ts'
import { damageFailure, hasWayBack, isQuickToCheck, refuseDamage, refuseStrangeSchema } from './damage.ts'
import { keepCopyBefore } from './keep-copy.ts'
import { type Migration, migrate, pendingMigrations, versionOf } from './migrate.ts'
import { noteComputer } from './note-computer.ts'
import { addSqlFunctions, type ReadClock } from './sql-functions.ts'

/** The `application_id` of a catalogue: the bytes "TKLF". */
const APPLICATION_ID = 0x544b_4c46

/** How long a call waits for another process's write. Common practice: short enough to feel like a hiccup. */
const BUSY_TIMEOUT_MS = 2000

/**
 * Opens and migrates the file, in write-ahead mode and with foreign keys on. A file that is quick to check
 * or needs a migration is checked completely; any other is left to checkCatalogueFile.
 * @param path absolute
 * @throws Failure `not-found` (no such folder), `invalid-input` (not a catalogue's file), `newer-version`,
 *   `catalogue-damaged`, `not-writable`; SQLite errors unchanged
 */
export function openDatabase(
  path: string,
  migrations: readonly Migration[],
  readClock?: ReadClock,
): Database.Database {
  refuseWrongPlace(path)
  refuseReadOnly(path)
  createWhole(path, migrations)
  const db = new Database(path, { timeout: BUSY_TIMEOUT_MS })
  try {
    addSqlFunctions(db, readClock)
    recognise(db, migrations)
    const [first] = pendingMigrations(db, migrations)
    refuseStrangeSchema(db, migrations)
    if (first !== undefined || isQuickToCheck(path)) refuseDamage(db)
    if (first !== undefined) keepCopyBefore(db, first.number)
    db.pragma('journal_mode = WAL')
    // Saved changes survive a power cut; writes are rare enough to wait for the disk.
    db.pragma('synchronous = FULL')
    // On macOS, fsync alone only reaches the disk's own cache. Elsewhere these do nothing.
    db.pragma('fullfsync = ON')
    db.pragma('checkpoint_fullfsync = ON')
    migrate(db, migrations)
    db.pragma('foreign_keys = ON')
    noteComputer(db)
    return db
  } catch (error) {
    db.close()
    throw error
  }
}

/**
 * Creates a new catalogue in one step with all its tables, so that an empty file is never a catalogue. Only
 * its user can read it; SQLite gives its log the same permissions.
 */
function createWhole(path: string, migrations: readonly Migration[]): void {
  if (existsSync(path)) return
  try {
    createFileBy(path, (freshPath) => {
      const db = new Database(freshPath)
      try {
        addSqlFunctions(db)
        migrate(db, migrations)
        noteComputer(db)
      } finally {
        db.close()
      }
    })
  } catch (error) {
    // Another process may have created it in the meantime.
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
 * SQLite treats a missing, empty or very short file as a new database and deletes the log beside it. So a new
 * catalogue is created only where there is no file and nothing is left of an old one.
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

/** SQLite opens a read-only file without an error, and leaves a log beside it that it cannot remove. */
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

/** Refuses a file that is not a catalogue, or whose version is newer than this program; only reads. */
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
