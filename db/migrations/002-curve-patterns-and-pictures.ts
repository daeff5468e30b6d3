// A mic may have a curve for each pattern, and a curve may keep the picture it was traced from.

import type { Database } from 'better-sqlite3'
import type { Migration } from '../care/migrate.ts'

export const curvePatternsAndPictures: Migration = {
  number: 2,
  migrate(db: Database): void {
    db.exec(`
ALTER TABLE curves ADD COLUMN pattern TEXT NOT NULL DEFAULT 'unknown' CHECK (pattern IN
  ('omni', 'cardioid', 'wide cardioid', 'supercardioid', 'hypercardioid', 'figure-8', 'unknown'));
-- NULL: not traced
ALTER TABLE curves ADD COLUMN picture TEXT CHECK (json_valid(picture));
-- The curves so far were of the one pattern that their mic was entered with.
UPDATE curves SET pattern = (SELECT pattern FROM mics WHERE mics.id = mic_id) WHERE mic_id IS NOT NULL;
`)
  },
}
