// Adds a pattern to each curve, and the picture that it was traced from.

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
-- Until now a mic had one pattern, so its curves have that pattern.
UPDATE curves SET pattern = (SELECT pattern FROM mics WHERE mics.id = mic_id) WHERE mic_id IS NOT NULL;
`)
  },
}
