// A hash of every row, which reveals damage that SQLite itself cannot detect: changed contents of rows.
// The triggers that maintain the hashes are created after every migration (row-hashes.ts).

import type { Database } from 'better-sqlite3'
import type { Migration } from '../care/migrate.ts'

export const rowHashes: Migration = {
  number: 5,
  migrate(db: Database): void {
    db.exec(`
CREATE TABLE row_hashes (
  -- name of the table
  subject TEXT NOT NULL,
  -- its primary key as JSON
  key TEXT NOT NULL,
  hash TEXT NOT NULL CHECK (length(hash) = 32),
  PRIMARY KEY (subject, key)
) STRICT, WITHOUT ROWID;
`)
  },
}
