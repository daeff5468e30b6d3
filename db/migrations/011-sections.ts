// Stores sections: named ranges of a session's song, and places in it.

import type { Database } from 'better-sqlite3'
import type { Migration } from '../care/migrate.ts'

export const sections: Migration = {
  number: 11,
  migrate(db: Database): void {
    db.exec(`
CREATE TABLE sections (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  session_id INTEGER NOT NULL REFERENCES sessions (id) ON DELETE CASCADE,
  name TEXT NOT NULL CHECK (length(name) > 0),
  -- samples at the session's rate; the song begins at 0
  start_samples INTEGER NOT NULL,
  -- 0 for a place
  length_samples INTEGER NOT NULL CHECK (length_samples >= 0),
  note TEXT NOT NULL
) STRICT;
CREATE INDEX sections_by_session ON sections (session_id, start_samples);
`)
  },
}
