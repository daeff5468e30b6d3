// Stores the beats per bar, for songs in three, five or six. Existing sessions were counted in four.

import type { Database } from 'better-sqlite3'
import type { Migration } from '../care/migrate.ts'

export const beatsPerBar: Migration = {
  number: 3,
  migrate(db: Database): void {
    db.exec(`
ALTER TABLE sessions ADD COLUMN beats_per_bar INTEGER NOT NULL DEFAULT 4 CHECK (beats_per_bar BETWEEN 1 AND 16);
`)
  },
}
