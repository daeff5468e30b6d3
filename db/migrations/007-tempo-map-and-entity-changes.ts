// Stores the beat unit and the tempo changes of sessions, and what was done to artists, voices, songs and
// sessions themselves: renamed, merged, removed. Existing sessions count in quarter notes and keep one tempo.

import type { Database } from 'better-sqlite3'
import type { Migration } from '../care/migrate.ts'

export const tempoMapAndEntityChanges: Migration = {
  number: 7,
  migrate(db: Database): void {
    db.exec(`
ALTER TABLE sessions ADD COLUMN beat_unit INTEGER NOT NULL DEFAULT 4 CHECK (beat_unit IN (2, 4, 8, 16));
ALTER TABLE sessions ADD COLUMN tempo_changes TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(tempo_changes));

CREATE TABLE entity_changes (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  kind TEXT NOT NULL CHECK (kind IN ('renamed', 'merged', 'removed')),
  entity TEXT NOT NULL CHECK (entity IN ('artist', 'voice', 'song', 'session')),
  -- ids of the time of the change; the rows may be gone
  artist_id INTEGER NOT NULL,
  session_id INTEGER,
  artist_name TEXT NOT NULL,
  -- the name before the change, or of what was merged or removed
  name TEXT NOT NULL,
  -- the new name, or what it was merged into; empty after a removal
  other_name TEXT NOT NULL,
  -- the rows as they were before, which reverting writes back
  before TEXT NOT NULL CHECK (json_valid(before)),
  created_at TEXT NOT NULL
) STRICT;

CREATE INDEX artists_by_making ON artists (created_at);
CREATE INDEX voices_by_making ON voices (created_at);
CREATE INDEX songs_by_making ON songs (created_at);
CREATE INDEX entity_changes_by_making ON entity_changes (created_at);
CREATE INDEX entity_changes_of_artist ON entity_changes (artist_id);
-- which sessions use a chain version
CREATE INDEX groups_of_chain_version ON groups (chain_version_id, session_id);
CREATE INDEX sessions_of_shared_chain ON sessions (shared_chain_version_id);
`)
  },
}
