// The file of a catalogue by a connection that keeps none of the program's manners.

import Database from 'better-sqlite3'
import { addSqlFunctions } from '../../db/care/sql-functions.ts'

/** Triggers of a catalogue call a function of the program's, so every connection that writes has it. */
export function rawOn(path: string): Database.Database {
  const db = new Database(path)
  addSqlFunctions(db)
  return db
}
