// Stores deliveries: which version of a session went out, where to, what it was made from, and what changed since the
// one before.

import type { Database } from 'better-sqlite3'
import type { Migration } from '../care/migrate.ts'

export const deliveries: Migration = {
  number: 12,
  migrate(db: Database): void {
    db.exec(`
CREATE TABLE deliveries (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  session_id INTEGER NOT NULL REFERENCES sessions (id) ON DELETE RESTRICT,
  number INTEGER NOT NULL CHECK (number > 0),
  folder TEXT NOT NULL,
  manifest_sha256 TEXT NOT NULL CHECK (length(manifest_sha256) = 64),
  files INTEGER NOT NULL CHECK (files >= 0),
  bytes INTEGER NOT NULL CHECK (bytes >= 0),
  -- what the next delivery is compared with
  made_from TEXT NOT NULL CHECK (json_valid(made_from)),
  -- kinds and numbers; app/words makes sentences of them
  changes TEXT NOT NULL CHECK (json_valid(changes)),
  created_at TEXT NOT NULL,
  UNIQUE (session_id, number)
) STRICT;
CREATE INDEX deliveries_by_making ON deliveries (created_at);
`)
  },
}
