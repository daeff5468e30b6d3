// Stores chain drafts: edited stages that are not saved yet. Each owner has one: a group, or a session whose
// groups share a chain.

import type { Database } from 'better-sqlite3'
import type { Migration } from '../care/migrate.ts'

export const chainDrafts: Migration = {
  number: 9,
  migrate(db: Database): void {
    db.exec(`
CREATE TABLE chain_drafts (
  session_id INTEGER NOT NULL REFERENCES sessions (id) ON DELETE CASCADE,
  -- 0 for the chain that all groups share; no reference, so that restoring a removed group restores its draft
  group_id INTEGER NOT NULL,
  -- the version that the edits started from
  base_version_id INTEGER REFERENCES chain_versions (id) ON DELETE RESTRICT,
  stages TEXT NOT NULL CHECK (json_valid(stages)),
  -- the window that wrote it last
  writer TEXT NOT NULL,
  -- new with every write, so that one window never overwrites what another has written meanwhile; not a
  -- count, which would begin again after a removal
  revision TEXT NOT NULL,
  changed_at TEXT NOT NULL,
  PRIMARY KEY (session_id, group_id)
) STRICT;
`)
  },
}
