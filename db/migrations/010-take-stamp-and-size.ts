// Stores where a recorder says that a take begins, and the size of its file, by which a missing one is
// searched for. Takes of before get both when their file is imported again.

import type { Database } from 'better-sqlite3'
import type { Migration } from '../care/migrate.ts'

export const takeStampAndSize: Migration = {
  number: 10,
  migrate(db: Database): void {
    db.exec(`
-- samples since midnight at the rate of the take
ALTER TABLE takes ADD COLUMN time_reference_samples INTEGER;
ALTER TABLE takes ADD COLUMN size_bytes INTEGER;
`)
  },
}
