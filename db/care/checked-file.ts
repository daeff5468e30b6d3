// Checks a catalogue and keeps snapshots of it on a worker thread, while another connection has it open.

import Database from 'better-sqlite3'
import { refuseDamage } from './damage.ts'
import { keepSnapshot } from './snapshots.ts'
import { addSqlFunctions } from './sql-functions.ts'
import { withFailures } from './sqlite-failures.ts'

/** Reads the whole file. @throws Failure `catalogue-damaged` */
export const checkCatalogueFile = (path: string): void => onFile(path, refuseDamage)

/**
 * Keeps a snapshot unless the newest one has the same contents.
 * @param now ISO 8601, UTC
 * @throws Failure `catalogue-damaged`; no snapshot of a damaged catalogue is kept
 */
export function keepCatalogueSnapshot(path: string, now: string): void {
  onFile(path, (db) => {
    refuseDamage(db)
    keepSnapshot(db, path, now)
  })
}

function onFile(path: string, act: (db: Database.Database) => void): void {
  withFailures(path, () => {
    const db = new Database(path, { readonly: true, fileMustExist: true })
    try {
      addSqlFunctions(db)
      act(db)
    } finally {
      db.close()
    }
  })
}
