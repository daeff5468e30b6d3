// Stores whether the polarity of a layer is inverted. No layer of before is.

import type { Database } from 'better-sqlite3'
import type { Migration } from '../care/migrate.ts'

export const polarityOfLayers: Migration = {
  number: 20,
  migrate(db: Database): void {
    db.exec(`
ALTER TABLE layers ADD COLUMN polarity_inverted INTEGER NOT NULL DEFAULT 0 CHECK (polarity_inverted IN (0, 1));
`)
  },
}
