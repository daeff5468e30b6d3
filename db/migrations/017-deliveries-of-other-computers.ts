// Lets deliveries of other computers in: two computers may both have delivered a session under one number, and the
// row numbers in what theirs were made from mean nothing here.

import type { Database } from 'better-sqlite3'
import type { Migration } from '../care/migrate.ts'

export const deliveriesOfOtherComputers: Migration = {
  number: 17,
  migrate(db: Database): void {
    db.exec(`
CREATE TABLE deliveries_of_all (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  session_id INTEGER NOT NULL REFERENCES sessions (id) ON DELETE RESTRICT,
  -- two computers may both have used it
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
  -- 1 where made_from has the row numbers of another catalogue
  is_foreign INTEGER NOT NULL DEFAULT 0 CHECK (is_foreign IN (0, 1)),
  UNIQUE (session_id, number, manifest_sha256)
) STRICT;
INSERT INTO deliveries_of_all
  SELECT id, session_id, number, folder, manifest_sha256, files, bytes, made_from, changes, created_at, 0 FROM deliveries;
DROP TABLE deliveries;
ALTER TABLE deliveries_of_all RENAME TO deliveries;
CREATE INDEX deliveries_by_making ON deliveries (created_at);
`)
  },
}
