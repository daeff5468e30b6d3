// Gives this computer an id in the catalogue. A copy of the file on another computer gives that one its own.

import type { Database } from 'better-sqlite3'
import { uuid7 } from '../../app/history/uuid7.ts'
import { computerName } from './sql-functions.ts'

/** Does nothing if the computer is known, or the catalogue is of a version without computers. */
export function noteComputer(db: Database): void {
  const hasTable = db
    .prepare<[], number>("SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = 'machines'")
    .pluck()
    .get()
  if (hasTable === undefined) return
  const name = computerName()
  if (
    db
      .prepare<[string], number>('SELECT 1 FROM machines WHERE name = ? AND writes_here = 1')
      .pluck()
      .get(name) !== undefined
  )
    return
  db.prepare<[string, string]>('INSERT INTO machines (uuid, name, writes_here) VALUES (?, ?, 1)').run(
    uuid7(Date.now()),
    name,
  )
}
