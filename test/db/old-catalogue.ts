// A catalogue as an earlier version of the program left it.

import type Database from 'better-sqlite3'
import { migrate } from '../../db/care/migrate.ts'
import { migrations } from '../../db/migrations/migrations.ts'
import { rawOn } from './raw-connection.ts'

/** The bytes "TKLF", as every version has written them. */
const APPLICATION_ID = 0x544b4c46

/** An empty catalogue at `path` of the given version, open for rows to be added. */
export function oldCatalogueAt(path: string, version: number): Database.Database {
  const db = rawOn(path)
  db.pragma(`application_id = ${APPLICATION_ID}`)
  migrate(db, migrations.slice(0, version))
  return db
}
