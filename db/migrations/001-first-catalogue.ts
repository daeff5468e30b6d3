// The first schema of the catalogue: people, mics, sessions, takes, stacks, chains and bounces.
//
// AUTOINCREMENT never reuses an id, so that history and undo cannot refer to a different row.
// CHECK constraints enforce closed sets, so that values read back need no validation.

import type { Database } from 'better-sqlite3'
import type { Migration } from '../care/migrate.ts'

const PEOPLE_AND_MICS = `
CREATE TABLE artists (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  name TEXT NOT NULL,
  note TEXT NOT NULL,
  created_at TEXT NOT NULL
) STRICT;

CREATE TABLE voices (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  artist_id INTEGER NOT NULL REFERENCES artists (id) ON DELETE RESTRICT,
  name TEXT NOT NULL,
  note TEXT NOT NULL,
  created_at TEXT NOT NULL
) STRICT;
CREATE INDEX voices_of_artist ON voices (artist_id);

CREATE TABLE mics (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  name TEXT NOT NULL,
  serial TEXT NOT NULL,
  pattern TEXT NOT NULL CHECK (pattern IN
    ('omni', 'cardioid', 'wide cardioid', 'supercardioid', 'hypercardioid', 'figure-8', 'unknown')),
  note TEXT NOT NULL,
  created_at TEXT NOT NULL
) STRICT;

CREATE TABLE curves (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  -- NULL: a target curve that belongs to no mic
  mic_id INTEGER REFERENCES mics (id) ON DELETE RESTRICT,
  name TEXT NOT NULL,
  source TEXT NOT NULL CHECK (source IN ('data sheet', 'measurement', 'traced picture', 'own', 'invented')),
  distance_m REAL CHECK (distance_m > 0),
  note TEXT NOT NULL,
  points TEXT NOT NULL CHECK (json_valid(points)),
  created_at TEXT NOT NULL,
  UNIQUE (id, mic_id)
) STRICT;
CREATE INDEX curves_of_mic ON curves (mic_id);
`

const SESSIONS_AND_TAKES = `
CREATE TABLE songs (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  artist_id INTEGER NOT NULL REFERENCES artists (id) ON DELETE RESTRICT,
  title TEXT NOT NULL,
  created_at TEXT NOT NULL,
  UNIQUE (artist_id, title)
) STRICT;

CREATE TABLE sessions (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  song_id INTEGER NOT NULL REFERENCES songs (id) ON DELETE RESTRICT,
  date TEXT NOT NULL,
  sample_rate_hz INTEGER NOT NULL CHECK (sample_rate_hz > 0),
  tempo_bpm REAL CHECK (tempo_bpm > 0),
  notes TEXT NOT NULL,
  pan_law TEXT NOT NULL CHECK (pan_law IN ('minus-3-db', 'minus-4.5-db', 'minus-6-db')),
  start_of_day_s INTEGER NOT NULL CHECK (start_of_day_s BETWEEN 0 AND 86399),
  chain_sharing TEXT NOT NULL CHECK (chain_sharing IN ('own', 'shared')),
  shared_chain_version_id INTEGER REFERENCES chain_versions (id) ON DELETE RESTRICT,
  created_at TEXT NOT NULL
) STRICT;
CREATE INDEX sessions_by_date ON sessions (date);
CREATE INDEX sessions_by_making ON sessions (created_at);
CREATE INDEX sessions_of_song ON sessions (song_id);

CREATE TABLE takes (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  sha256 TEXT NOT NULL UNIQUE CHECK (length(sha256) = 64),
  name TEXT NOT NULL,
  path TEXT NOT NULL,
  container TEXT NOT NULL,
  encoding TEXT NOT NULL,
  sample_rate_hz INTEGER NOT NULL CHECK (sample_rate_hz > 0),
  channels INTEGER NOT NULL CHECK (channels > 0),
  frames INTEGER NOT NULL CHECK (frames >= 0),
  imported_at TEXT NOT NULL,
  voice_id INTEGER REFERENCES voices (id) ON DELETE RESTRICT,
  mic_id INTEGER REFERENCES mics (id) ON DELETE RESTRICT,
  curve_id INTEGER,
  facts TEXT NOT NULL CHECK (json_valid(facts)),
  CHECK (curve_id IS NULL OR mic_id IS NOT NULL),
  -- the curve is one of that mic's
  FOREIGN KEY (curve_id, mic_id) REFERENCES curves (id, mic_id) ON DELETE RESTRICT
) STRICT;
CREATE INDEX takes_by_import ON takes (imported_at);
CREATE INDEX takes_of_voice ON takes (voice_id, imported_at);
CREATE INDEX takes_of_mic ON takes (mic_id);
CREATE INDEX takes_of_curve ON takes (curve_id);

CREATE TRIGGER takes_are_immutable
BEFORE UPDATE OF id, sha256, container, encoding, sample_rate_hz, channels, frames, imported_at, facts ON takes
BEGIN
  SELECT RAISE(ABORT, 'the bytes, the format and the facts of a take cannot be changed');
END;

CREATE VIRTUAL TABLE takes_search USING fts5 (
  name, path, content = 'takes', content_rowid = 'id', prefix = '1 2 3',
  tokenize = 'unicode61 remove_diacritics 2'
);
CREATE TRIGGER takes_search_insert AFTER INSERT ON takes BEGIN
  INSERT INTO takes_search (rowid, name, path) VALUES (new.id, new.name, new.path);
END;
CREATE TRIGGER takes_search_update AFTER UPDATE OF name, path ON takes BEGIN
  INSERT INTO takes_search (takes_search, rowid, name, path) VALUES ('delete', old.id, old.name, old.path);
  INSERT INTO takes_search (rowid, name, path) VALUES (new.id, new.name, new.path);
END;
CREATE TRIGGER takes_search_delete AFTER DELETE ON takes BEGIN
  INSERT INTO takes_search (takes_search, rowid, name, path) VALUES ('delete', old.id, old.name, old.path);
END;

CREATE TABLE session_takes (
  session_id INTEGER NOT NULL REFERENCES sessions (id) ON DELETE RESTRICT,
  take_id INTEGER NOT NULL REFERENCES takes (id) ON DELETE RESTRICT,
  PRIMARY KEY (session_id, take_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX sessions_of_take ON session_takes (take_id);
`

const STACK_AND_CHAINS = `
CREATE TABLE chains (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  voice_id INTEGER NOT NULL REFERENCES voices (id) ON DELETE RESTRICT,
  name TEXT NOT NULL,
  created_at TEXT NOT NULL
) STRICT;
CREATE INDEX chains_of_voice ON chains (voice_id);

CREATE TABLE chain_versions (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  chain_id INTEGER NOT NULL REFERENCES chains (id) ON DELETE RESTRICT,
  number INTEGER NOT NULL CHECK (number > 0),
  stages TEXT NOT NULL CHECK (json_valid(stages)),
  sha256 TEXT NOT NULL CHECK (length(sha256) = 64),
  note TEXT NOT NULL,
  created_at TEXT NOT NULL,
  UNIQUE (chain_id, number)
) STRICT;
CREATE INDEX chain_versions_by_making ON chain_versions (created_at);

CREATE TRIGGER chain_versions_are_immutable BEFORE UPDATE ON chain_versions BEGIN
  SELECT RAISE(ABORT, 'a chain version cannot be changed');
END;
CREATE TRIGGER chain_versions_are_kept BEFORE DELETE ON chain_versions BEGIN
  SELECT RAISE(ABORT, 'a chain version cannot be removed');
END;

CREATE TABLE groups (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  session_id INTEGER NOT NULL REFERENCES sessions (id) ON DELETE RESTRICT,
  name TEXT NOT NULL,
  chain_version_id INTEGER REFERENCES chain_versions (id) ON DELETE RESTRICT,
  gain_db REAL NOT NULL,
  position INTEGER NOT NULL CHECK (position >= 0),
  UNIQUE (id, session_id)
) STRICT;
CREATE INDEX groups_of_session ON groups (session_id, position);

CREATE TABLE layers (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  session_id INTEGER NOT NULL,
  group_id INTEGER NOT NULL,
  take_id INTEGER NOT NULL REFERENCES takes (id) ON DELETE RESTRICT,
  name TEXT NOT NULL,
  role TEXT NOT NULL CHECK (role IN ('lead', 'double', 'ad-lib', 'harmony')),
  offset_samples INTEGER NOT NULL,
  gain_db REAL NOT NULL,
  pan REAL NOT NULL CHECK (pan BETWEEN -1 AND 1),
  muted INTEGER NOT NULL CHECK (muted IN (0, 1)),
  position INTEGER NOT NULL CHECK (position >= 0),
  -- the group and the take are the session's own
  FOREIGN KEY (group_id, session_id) REFERENCES groups (id, session_id) ON DELETE CASCADE,
  FOREIGN KEY (session_id, take_id) REFERENCES session_takes (session_id, take_id) ON DELETE RESTRICT
) STRICT;
CREATE INDEX layers_of_session ON layers (session_id, position);
CREATE INDEX layers_of_group ON layers (group_id, session_id);
CREATE INDEX layers_of_take ON layers (take_id);

CREATE TABLE bounces (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  session_id INTEGER NOT NULL REFERENCES sessions (id) ON DELETE RESTRICT,
  manifest_path TEXT NOT NULL,
  manifest_sha256 TEXT NOT NULL CHECK (length(manifest_sha256) = 64),
  stems INTEGER NOT NULL CHECK (stems >= 0),
  created_at TEXT NOT NULL
) STRICT;
CREATE INDEX bounces_of_session ON bounces (session_id, created_at);
CREATE INDEX bounces_by_making ON bounces (created_at);
`

export const firstCatalogue: Migration = {
  number: 1,
  migrate(db: Database): void {
    // The bytes "TKLF", which distinguish a catalogue from the databases of other programs.
    db.pragma('application_id = 1414220870')
    db.exec(PEOPLE_AND_MICS)
    db.exec(SESSIONS_AND_TAKES)
    db.exec(STACK_AND_CHAINS)
  },
}
