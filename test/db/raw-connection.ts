// The file of a catalogue by a connection that keeps none of the program's manners.

import Database from 'better-sqlite3'
import { addRowHash } from '../../db/care/row-hashes.ts'

/** Triggers of a catalogue call a function of the program's, so every connection that writes has it. */
export function rawOn(path: string): Database.Database {
  const db = new Database(path)
  addRowHash(db)
  return db
}
