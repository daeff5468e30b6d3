// Stores the paths of files that have the same bytes as a take's own file.

import type { Database } from 'better-sqlite3'
import type { Migration } from '../care/migrate.ts'

export const takeCopies: Migration = {
  number: 4,
  migrate(db: Database): void {
    db.exec(`
CREATE TABLE take_copies (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  take_id INTEGER NOT NULL REFERENCES takes (id) ON DELETE CASCADE,
  path TEXT NOT NULL,
  UNIQUE (take_id, path)
) STRICT;
`)
  },
}
