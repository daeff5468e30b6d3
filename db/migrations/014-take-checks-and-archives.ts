// Stores when the file of each take was last read and what was found, and which archives were made and restored.

import type { Database } from 'better-sqlite3'
import type { Migration } from '../care/migrate.ts'

export const takeChecksAndArchives: Migration = {
  number: 14,
  migrate(db: Database): void {
    db.exec(`
-- the newest check of a take's file, the newest one that found it sound, and each that found a change
CREATE TABLE take_checks (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  take_id INTEGER NOT NULL REFERENCES takes (id) ON DELETE CASCADE,
  checked_at TEXT NOT NULL,
  -- counted against what may be read in a day
  size_bytes INTEGER NOT NULL CHECK (size_bytes >= 0),
  -- nanoseconds since 1970; null where there was no file
  modified_ns TEXT,
  result TEXT NOT NULL CHECK (result IN ('sound', 'rot', 'edited', 'missing', 'unreadable')),
  -- whether it differs from the check before, and so is a line of the ledger
  is_news INTEGER NOT NULL CHECK (is_news IN (0, 1))
) STRICT;
CREATE INDEX take_checks_of_take ON take_checks (take_id, checked_at);
CREATE INDEX take_checks_by_time ON take_checks (checked_at);
CREATE INDEX take_checks_news ON take_checks (checked_at, id) WHERE is_news = 1;

CREATE TABLE archives (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  act TEXT NOT NULL CHECK (act IN ('archived', 'restored')),
  session_uuid TEXT NOT NULL CHECK (length(session_uuid) = 36),
  artist_id INTEGER REFERENCES artists (id) ON DELETE SET NULL,
  artist_name TEXT NOT NULL,
  song_title TEXT NOT NULL,
  path TEXT NOT NULL,
  takes INTEGER NOT NULL CHECK (takes >= 0),
  created_at TEXT NOT NULL
) STRICT;
CREATE INDEX archives_by_time ON archives (created_at, id);
CREATE INDEX archives_of_artist ON archives (artist_id);
`)
  },
}
