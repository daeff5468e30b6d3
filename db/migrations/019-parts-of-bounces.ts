// Stores which part of the song a bounce has, so that the ledger names it. Bounces of before have it only in their
// manifests.

import type { Database } from 'better-sqlite3'
import type { Migration } from '../care/migrate.ts'

export const partsOfBounces: Migration = {
  number: 19,
  migrate(db: Database): void {
    db.exec(`
-- the section, or the times; empty for the whole song
ALTER TABLE bounces ADD COLUMN part TEXT NOT NULL DEFAULT '';
`)
  },
}
