// Marks versions of chains that the engineer wants to find again. A version never changes, so its mark has a row of
// its own.

import type { Database } from 'better-sqlite3'
import type { Migration } from '../care/migrate.ts'

export const chainPins: Migration = {
  number: 15,
  migrate(db: Database): void {
    db.exec(`
CREATE TABLE chain_pins (
  chain_version_id INTEGER PRIMARY KEY REFERENCES chain_versions (id) ON DELETE RESTRICT,
  created_at TEXT NOT NULL
) STRICT;
`)
  },
}
