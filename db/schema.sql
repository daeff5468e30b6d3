-- Written from db/migrations by `npm run schema`; not edited by hand.

PRAGMA application_id = 1414220870;

PRAGMA user_version = 20;

CREATE TABLE archives (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  act TEXT NOT NULL CHECK (act IN ('archived', 'restored')),
  session_uuid TEXT NOT NULL CHECK (length(session_uuid) = 36),
  artist_id INTEGER REFERENCES artists (id) ON DELETE SET NULL,
  artist_name TEXT NOT NULL,
  song_title TEXT NOT NULL,
  path TEXT NOT NULL,
  takes INTEGER NOT NULL CHECK (takes >= 0),
  created_at TEXT NOT NULL
) STRICT;

CREATE TABLE artists (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  name TEXT NOT NULL,
  note TEXT NOT NULL,
  created_at TEXT NOT NULL
, uuid TEXT CHECK (length(uuid) = 36)) STRICT;

CREATE TABLE bounces (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  session_id INTEGER NOT NULL REFERENCES sessions (id) ON DELETE RESTRICT,
  manifest_path TEXT NOT NULL,
  manifest_sha256 TEXT NOT NULL CHECK (length(manifest_sha256) = 64),
  stems INTEGER NOT NULL CHECK (stems >= 0),
  created_at TEXT NOT NULL
, part TEXT NOT NULL DEFAULT '') STRICT;

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

CREATE TABLE chain_pins (
  chain_version_id INTEGER PRIMARY KEY REFERENCES chain_versions (id) ON DELETE RESTRICT,
  created_at TEXT NOT NULL
) STRICT;

CREATE TABLE "chain_versions" (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  chain_id INTEGER NOT NULL REFERENCES chains (id) ON DELETE RESTRICT,
  -- for people; versions of two computers may have the same
  number INTEGER NOT NULL CHECK (number > 0),
  stages TEXT NOT NULL CHECK (json_valid(stages)),
  -- of the stages alone, as manifests name it
  sha256 TEXT NOT NULL CHECK (length(sha256) = 64),
  note TEXT NOT NULL,
  created_at TEXT NOT NULL,
  -- nodes of the versions that it was made from: first what was edited
  parents TEXT NOT NULL CHECK (json_valid(parents)),
  machine TEXT NOT NULL REFERENCES machines (uuid) ON DELETE RESTRICT,
  -- SHA-256 of the whole version (RFC 8785), its identity
  node TEXT NOT NULL UNIQUE CHECK (length(node) = 64)
) STRICT;

CREATE TABLE chains (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  voice_id INTEGER NOT NULL REFERENCES voices (id) ON DELETE RESTRICT,
  name TEXT NOT NULL,
  created_at TEXT NOT NULL
, uuid TEXT CHECK (length(uuid) = 36)) STRICT;

CREATE TABLE curves (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  -- NULL: a target curve that belongs to no mic
  mic_id INTEGER REFERENCES mics (id) ON DELETE RESTRICT,
  name TEXT NOT NULL,
  source TEXT NOT NULL CHECK (source IN ('data sheet', 'measurement', 'traced picture', 'own', 'invented')),
  distance_m REAL CHECK (distance_m > 0),
  note TEXT NOT NULL,
  points TEXT NOT NULL CHECK (json_valid(points)),
  created_at TEXT NOT NULL, pattern TEXT NOT NULL DEFAULT 'unknown' CHECK (pattern IN
  ('omni', 'cardioid', 'wide cardioid', 'supercardioid', 'hypercardioid', 'figure-8', 'unknown')), picture TEXT CHECK (json_valid(picture)),
  UNIQUE (id, mic_id)
) STRICT;

CREATE TABLE dated_changes (
  -- name of the table; 'settings' for what is heard of a session
  of_table TEXT NOT NULL,
  row_id INTEGER NOT NULL,
  at TEXT NOT NULL,
  machine TEXT, parents TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(parents)), own_at TEXT, own_machine TEXT,
  PRIMARY KEY (of_table, row_id)
) STRICT;

CREATE TABLE "deliveries" (
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

CREATE TABLE groups (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  session_id INTEGER NOT NULL REFERENCES sessions (id) ON DELETE RESTRICT,
  name TEXT NOT NULL,
  chain_version_id INTEGER REFERENCES chain_versions (id) ON DELETE RESTRICT,
  gain_db REAL NOT NULL,
  position INTEGER NOT NULL CHECK (position >= 0), uuid TEXT CHECK (length(uuid) = 36),
  UNIQUE (id, session_id)
) STRICT;

CREATE TABLE history_imports (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  artist_id INTEGER,
  artist_name TEXT NOT NULL,
  name TEXT NOT NULL,
  -- SHA-256 of history.json
  sha256 TEXT NOT NULL CHECK (length(sha256) = 64),
  added INTEGER NOT NULL CHECK (added >= 0),
  -- with both sides of each
  conflicts TEXT NOT NULL CHECK (json_valid(conflicts)),
  created_at TEXT NOT NULL
) STRICT;

CREATE TABLE kept_states (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  of_table TEXT NOT NULL,
  row_id INTEGER NOT NULL,
  at TEXT NOT NULL,
  machine TEXT NOT NULL,
  state TEXT NOT NULL CHECK (json_valid(state)),
  kept_at TEXT NOT NULL
, parents TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(parents))) STRICT;

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
  position INTEGER NOT NULL CHECK (position >= 0), uuid TEXT CHECK (length(uuid) = 36), polarity_inverted INTEGER NOT NULL DEFAULT 0 CHECK (polarity_inverted IN (0, 1)),
  -- the group and the take are the session's own
  FOREIGN KEY (group_id, session_id) REFERENCES groups (id, session_id) ON DELETE CASCADE,
  FOREIGN KEY (session_id, take_id) REFERENCES session_takes (session_id, take_id) ON DELETE RESTRICT
) STRICT;

CREATE TABLE machines (
  uuid TEXT PRIMARY KEY CHECK (length(uuid) = 36),
  name TEXT NOT NULL,
  -- whether it has written to this file; computers known from merged histories may have the same name
  writes_here INTEGER NOT NULL CHECK (writes_here IN (0, 1))
) STRICT;

CREATE TABLE mics (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  name TEXT NOT NULL,
  serial TEXT NOT NULL,
  pattern TEXT NOT NULL CHECK (pattern IN
    ('omni', 'cardioid', 'wide cardioid', 'supercardioid', 'hypercardioid', 'figure-8', 'unknown')),
  note TEXT NOT NULL,
  created_at TEXT NOT NULL
, uuid TEXT CHECK (length(uuid) = 36)) STRICT;

CREATE TABLE other_identities (
  uuid TEXT PRIMARY KEY CHECK (length(uuid) = 36),
  of_table TEXT NOT NULL,
  row_id INTEGER NOT NULL,
  standing TEXT NOT NULL CHECK (standing IN ('removed', 'joined'))
) STRICT;

CREATE TABLE row_hashes (
  -- name of the table
  subject TEXT NOT NULL,
  -- its primary key as JSON
  key TEXT NOT NULL,
  hash TEXT NOT NULL CHECK (length(hash) = 32),
  PRIMARY KEY (subject, key)
) STRICT, WITHOUT ROWID;

CREATE TABLE sections (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  session_id INTEGER NOT NULL REFERENCES sessions (id) ON DELETE CASCADE,
  name TEXT NOT NULL CHECK (length(name) > 0),
  -- samples at the session's rate; the song begins at 0
  start_samples INTEGER NOT NULL,
  -- 0 for a place
  length_samples INTEGER NOT NULL CHECK (length_samples >= 0),
  note TEXT NOT NULL
) STRICT;

CREATE TABLE session_takes (
  session_id INTEGER NOT NULL REFERENCES sessions (id) ON DELETE RESTRICT,
  take_id INTEGER NOT NULL REFERENCES takes (id) ON DELETE RESTRICT,
  PRIMARY KEY (session_id, take_id)
) STRICT, WITHOUT ROWID;

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
, beats_per_bar INTEGER NOT NULL DEFAULT 4 CHECK (beats_per_bar BETWEEN 1 AND 16), beat_unit INTEGER NOT NULL DEFAULT 4 CHECK (beat_unit IN (2, 4, 8, 16)), tempo_changes TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(tempo_changes)), uuid TEXT CHECK (length(uuid) = 36)) STRICT;

CREATE TABLE songs (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  artist_id INTEGER NOT NULL REFERENCES artists (id) ON DELETE RESTRICT,
  title TEXT NOT NULL,
  created_at TEXT NOT NULL, uuid TEXT CHECK (length(uuid) = 36),
  UNIQUE (artist_id, title)
) STRICT;

CREATE TABLE take_checks (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  take_id INTEGER NOT NULL REFERENCES takes (id) ON DELETE CASCADE,
  checked_at TEXT NOT NULL,
  -- counted against what may be read in a day
  size_bytes INTEGER NOT NULL CHECK (size_bytes >= 0),
  -- nanoseconds since 1970; null where there was no file
  modified_ns TEXT,
  result TEXT NOT NULL CHECK (result IN ('sound', 'rot', 'edited', 'missing', 'unreadable')),
  -- whether it differs from the check before, and so is a line of the ledger
  is_news INTEGER NOT NULL CHECK (is_news IN (0, 1))
) STRICT;

CREATE TABLE take_copies (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  take_id INTEGER NOT NULL REFERENCES takes (id) ON DELETE CASCADE,
  path TEXT NOT NULL,
  UNIQUE (take_id, path)
) STRICT;

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
  facts TEXT NOT NULL CHECK (json_valid(facts)), time_reference_samples INTEGER, size_bytes INTEGER,
  CHECK (curve_id IS NULL OR mic_id IS NOT NULL),
  -- the curve is one of that mic's
  FOREIGN KEY (curve_id, mic_id) REFERENCES curves (id, mic_id) ON DELETE RESTRICT
) STRICT;

CREATE VIRTUAL TABLE takes_search USING fts5 (
  name, folder, artist, voice, mic, song, note, finding, content = '', contentless_delete = 1, prefix = '1 2 3',
  tokenize = 'unicode61 remove_diacritics 2'
);

CREATE TABLE voices (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  artist_id INTEGER NOT NULL REFERENCES artists (id) ON DELETE RESTRICT,
  name TEXT NOT NULL,
  note TEXT NOT NULL,
  created_at TEXT NOT NULL
, uuid TEXT CHECK (length(uuid) = 36)) STRICT;

CREATE INDEX archives_by_time ON archives (created_at, id);

CREATE INDEX archives_of_artist ON archives (artist_id);

CREATE INDEX artists_by_making ON artists (created_at);

CREATE UNIQUE INDEX artists_by_uuid ON artists (uuid);

CREATE INDEX bounces_by_making ON bounces (created_at);

CREATE INDEX bounces_of_session ON bounces (session_id, created_at);

CREATE INDEX chain_versions_by_making ON chain_versions (created_at);

CREATE INDEX chain_versions_of_chain ON chain_versions (chain_id, number);

CREATE UNIQUE INDEX chains_by_uuid ON chains (uuid);

CREATE INDEX chains_of_voice ON chains (voice_id);

CREATE INDEX curves_of_mic ON curves (mic_id);

CREATE INDEX deliveries_by_making ON deliveries (created_at);

CREATE INDEX entity_changes_by_making ON entity_changes (created_at);

CREATE INDEX entity_changes_of_artist ON entity_changes (artist_id);

CREATE UNIQUE INDEX groups_by_uuid ON groups (uuid);

CREATE INDEX groups_of_chain_version ON groups (chain_version_id, session_id);

CREATE INDEX groups_of_session ON groups (session_id, position);

CREATE INDEX history_imports_by_making ON history_imports (created_at);

CREATE INDEX history_imports_of_artist ON history_imports (artist_id);

CREATE INDEX kept_states_by_keeping ON kept_states (kept_at);

CREATE INDEX kept_states_of_row ON kept_states (of_table, row_id);

CREATE UNIQUE INDEX layers_by_uuid ON layers (uuid);

CREATE INDEX layers_of_group ON layers (group_id, session_id);

CREATE INDEX layers_of_session ON layers (session_id, position);

CREATE INDEX layers_of_take ON layers (take_id);

CREATE INDEX machines_by_name ON machines (name, writes_here);

CREATE UNIQUE INDEX mics_by_uuid ON mics (uuid);

CREATE INDEX other_identities_of_row ON other_identities (of_table, row_id);

CREATE INDEX sections_by_session ON sections (session_id, start_samples);

CREATE INDEX sessions_by_date ON sessions (date);

CREATE INDEX sessions_by_making ON sessions (created_at);

CREATE UNIQUE INDEX sessions_by_uuid ON sessions (uuid);

CREATE INDEX sessions_of_shared_chain ON sessions (shared_chain_version_id);

CREATE INDEX sessions_of_song ON sessions (song_id);

CREATE INDEX sessions_of_take ON session_takes (take_id);

CREATE INDEX songs_by_making ON songs (created_at);

CREATE UNIQUE INDEX songs_by_uuid ON songs (uuid);

CREATE INDEX take_checks_by_time ON take_checks (checked_at);

CREATE INDEX take_checks_news ON take_checks (checked_at, id) WHERE is_news = 1;

CREATE INDEX take_checks_of_take ON take_checks (take_id, checked_at);

CREATE INDEX takes_by_import ON takes (imported_at);

CREATE INDEX takes_of_curve ON takes (curve_id);

CREATE INDEX takes_of_mic ON takes (mic_id);

CREATE INDEX takes_of_voice ON takes (voice_id, imported_at);

CREATE INDEX voices_by_making ON voices (created_at);

CREATE UNIQUE INDEX voices_by_uuid ON voices (uuid);

CREATE INDEX voices_of_artist ON voices (artist_id);

CREATE TRIGGER archives_hash_delete AFTER DELETE ON archives BEGIN
  DELETE FROM row_hashes WHERE subject = 'archives' AND key = json_array(old."id");
END;

CREATE TRIGGER archives_hash_insert AFTER INSERT ON archives BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('archives', json_array(new."id"), row_hash(new."id", new."act", new."session_uuid", new."artist_id", new."artist_name", new."song_title", new."path", new."takes", new."created_at"));
END;

CREATE TRIGGER archives_hash_update AFTER UPDATE ON archives BEGIN
  UPDATE row_hashes SET key = json_array(new."id"), hash = row_hash(new."id", new."act", new."session_uuid", new."artist_id", new."artist_name", new."song_title", new."path", new."takes", new."created_at") WHERE subject = 'archives' AND key = json_array(old."id");
END;

CREATE TRIGGER artists_dated AFTER UPDATE OF name, note ON artists WHEN old.name IS NOT new.name OR old.note IS NOT new.note BEGIN
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('artists', new.id, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = 'artists' AND row_id = new.id
        UNION ALL SELECT at FROM kept_states WHERE of_table = 'artists' AND row_id = new.id
        UNION ALL SELECT new.created_at))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1),
      coalesce((SELECT CASE
          WHEN machine IS (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1) AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = 'artists' AND kept.row_id = new.id AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = 'artists' AND row_id = new.id),
        json_array(json_object('at', new.created_at, 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = 'artists' AND row_id = new.id;
END;

CREATE TRIGGER artists_hash_delete AFTER DELETE ON artists BEGIN
  DELETE FROM row_hashes WHERE subject = 'artists' AND key = json_array(old."id");
END;

CREATE TRIGGER artists_hash_insert AFTER INSERT ON artists BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('artists', json_array(new."id"), row_hash(new."id", new."name", new."note", new."created_at", new."uuid"));
END;

CREATE TRIGGER artists_hash_update AFTER UPDATE ON artists BEGIN
  UPDATE row_hashes SET key = json_array(new."id"), hash = row_hash(new."id", new."name", new."note", new."created_at", new."uuid") WHERE subject = 'artists' AND key = json_array(old."id");
END;

CREATE TRIGGER artists_have_identity BEFORE INSERT ON artists WHEN new.uuid IS NULL BEGIN
  SELECT RAISE(ABORT, 'a row without a UUID');
END;

CREATE TRIGGER artists_leave_identity AFTER DELETE ON artists BEGIN
  INSERT INTO other_identities (uuid, of_table, row_id, standing) VALUES (old.uuid, 'artists', old.id, 'removed');
END;

CREATE TRIGGER artists_take_identity AFTER INSERT ON artists BEGIN
  DELETE FROM other_identities WHERE uuid = new.uuid;
END;

CREATE TRIGGER bounces_hash_delete AFTER DELETE ON bounces BEGIN
  DELETE FROM row_hashes WHERE subject = 'bounces' AND key = json_array(old."id");
END;

CREATE TRIGGER bounces_hash_insert AFTER INSERT ON bounces BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('bounces', json_array(new."id"), row_hash(new."id", new."session_id", new."manifest_path", new."manifest_sha256", new."stems", new."created_at", new."part"));
END;

CREATE TRIGGER bounces_hash_update AFTER UPDATE ON bounces BEGIN
  UPDATE row_hashes SET key = json_array(new."id"), hash = row_hash(new."id", new."session_id", new."manifest_path", new."manifest_sha256", new."stems", new."created_at", new."part") WHERE subject = 'bounces' AND key = json_array(old."id");
END;

CREATE TRIGGER chain_drafts_hash_delete AFTER DELETE ON chain_drafts BEGIN
  DELETE FROM row_hashes WHERE subject = 'chain_drafts' AND key = json_array(old."session_id", old."group_id");
END;

CREATE TRIGGER chain_drafts_hash_insert AFTER INSERT ON chain_drafts BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('chain_drafts', json_array(new."session_id", new."group_id"), row_hash(new."session_id", new."group_id", new."base_version_id", new."stages", new."writer", new."revision", new."changed_at"));
END;

CREATE TRIGGER chain_drafts_hash_update AFTER UPDATE ON chain_drafts BEGIN
  UPDATE row_hashes SET key = json_array(new."session_id", new."group_id"), hash = row_hash(new."session_id", new."group_id", new."base_version_id", new."stages", new."writer", new."revision", new."changed_at") WHERE subject = 'chain_drafts' AND key = json_array(old."session_id", old."group_id");
END;

CREATE TRIGGER chain_pins_dated_delete AFTER DELETE ON chain_pins BEGIN
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('pins', old.chain_version_id, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = 'pins' AND row_id = old.chain_version_id
        UNION ALL SELECT at FROM kept_states WHERE of_table = 'pins' AND row_id = old.chain_version_id
        UNION ALL SELECT (SELECT created_at FROM chain_versions WHERE id = old.chain_version_id)))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1),
      coalesce((SELECT CASE
          WHEN machine IS (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1) AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = 'pins' AND kept.row_id = old.chain_version_id AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = 'pins' AND row_id = old.chain_version_id),
        json_array(json_object('at', (SELECT created_at FROM chain_versions WHERE id = old.chain_version_id), 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = 'pins' AND row_id = old.chain_version_id;
END;

CREATE TRIGGER chain_pins_dated_insert AFTER INSERT ON chain_pins BEGIN
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('pins', new.chain_version_id, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = 'pins' AND row_id = new.chain_version_id
        UNION ALL SELECT at FROM kept_states WHERE of_table = 'pins' AND row_id = new.chain_version_id
        UNION ALL SELECT (SELECT created_at FROM chain_versions WHERE id = new.chain_version_id)))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1),
      coalesce((SELECT CASE
          WHEN machine IS (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1) AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = 'pins' AND kept.row_id = new.chain_version_id AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = 'pins' AND row_id = new.chain_version_id),
        json_array(json_object('at', (SELECT created_at FROM chain_versions WHERE id = new.chain_version_id), 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = 'pins' AND row_id = new.chain_version_id;
END;

CREATE TRIGGER chain_pins_hash_delete AFTER DELETE ON chain_pins BEGIN
  DELETE FROM row_hashes WHERE subject = 'chain_pins' AND key = json_array(old."chain_version_id");
END;

CREATE TRIGGER chain_pins_hash_insert AFTER INSERT ON chain_pins BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('chain_pins', json_array(new."chain_version_id"), row_hash(new."chain_version_id", new."created_at"));
END;

CREATE TRIGGER chain_pins_hash_update AFTER UPDATE ON chain_pins BEGIN
  UPDATE row_hashes SET key = json_array(new."chain_version_id"), hash = row_hash(new."chain_version_id", new."created_at") WHERE subject = 'chain_pins' AND key = json_array(old."chain_version_id");
END;

CREATE TRIGGER chain_versions_are_immutable BEFORE UPDATE ON chain_versions BEGIN
  SELECT RAISE(ABORT, 'a chain version cannot be changed');
END;

CREATE TRIGGER chain_versions_are_kept BEFORE DELETE ON chain_versions BEGIN
  SELECT RAISE(ABORT, 'a chain version cannot be removed');
END;

CREATE TRIGGER chain_versions_hash_delete AFTER DELETE ON chain_versions BEGIN
  DELETE FROM row_hashes WHERE subject = 'chain_versions' AND key = json_array(old."id");
END;

CREATE TRIGGER chain_versions_hash_insert AFTER INSERT ON chain_versions BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('chain_versions', json_array(new."id"), row_hash(new."id", new."chain_id", new."number", new."stages", new."sha256", new."note", new."created_at", new."parents", new."machine", new."node"));
END;

CREATE TRIGGER chain_versions_hash_update AFTER UPDATE ON chain_versions BEGIN
  UPDATE row_hashes SET key = json_array(new."id"), hash = row_hash(new."id", new."chain_id", new."number", new."stages", new."sha256", new."note", new."created_at", new."parents", new."machine", new."node") WHERE subject = 'chain_versions' AND key = json_array(old."id");
END;

CREATE TRIGGER chains_dated AFTER UPDATE OF name ON chains WHEN old.name IS NOT new.name BEGIN
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('chains', new.id, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = 'chains' AND row_id = new.id
        UNION ALL SELECT at FROM kept_states WHERE of_table = 'chains' AND row_id = new.id
        UNION ALL SELECT new.created_at))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1),
      coalesce((SELECT CASE
          WHEN machine IS (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1) AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = 'chains' AND kept.row_id = new.id AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = 'chains' AND row_id = new.id),
        json_array(json_object('at', new.created_at, 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = 'chains' AND row_id = new.id;
END;

CREATE TRIGGER chains_hash_delete AFTER DELETE ON chains BEGIN
  DELETE FROM row_hashes WHERE subject = 'chains' AND key = json_array(old."id");
END;

CREATE TRIGGER chains_hash_insert AFTER INSERT ON chains BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('chains', json_array(new."id"), row_hash(new."id", new."voice_id", new."name", new."created_at", new."uuid"));
END;

CREATE TRIGGER chains_hash_update AFTER UPDATE ON chains BEGIN
  UPDATE row_hashes SET key = json_array(new."id"), hash = row_hash(new."id", new."voice_id", new."name", new."created_at", new."uuid") WHERE subject = 'chains' AND key = json_array(old."id");
END;

CREATE TRIGGER chains_have_identity BEFORE INSERT ON chains WHEN new.uuid IS NULL BEGIN
  SELECT RAISE(ABORT, 'a row without a UUID');
END;

CREATE TRIGGER chains_leave_identity AFTER DELETE ON chains BEGIN
  INSERT INTO other_identities (uuid, of_table, row_id, standing) VALUES (old.uuid, 'chains', old.id, 'removed');
END;

CREATE TRIGGER chains_take_identity AFTER INSERT ON chains BEGIN
  DELETE FROM other_identities WHERE uuid = new.uuid;
END;

CREATE TRIGGER curves_dated AFTER UPDATE OF name, note ON curves WHEN old.name IS NOT new.name OR old.note IS NOT new.note BEGIN
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('curves', new.id, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = 'curves' AND row_id = new.id
        UNION ALL SELECT at FROM kept_states WHERE of_table = 'curves' AND row_id = new.id
        UNION ALL SELECT new.created_at))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1),
      coalesce((SELECT CASE
          WHEN machine IS (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1) AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = 'curves' AND kept.row_id = new.id AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = 'curves' AND row_id = new.id),
        json_array(json_object('at', new.created_at, 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = 'curves' AND row_id = new.id;
END;

CREATE TRIGGER curves_hash_delete AFTER DELETE ON curves BEGIN
  DELETE FROM row_hashes WHERE subject = 'curves' AND key = json_array(old."id");
END;

CREATE TRIGGER curves_hash_insert AFTER INSERT ON curves BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('curves', json_array(new."id"), row_hash(new."id", new."mic_id", new."name", new."source", new."distance_m", new."note", new."points", new."created_at", new."pattern", new."picture"));
END;

CREATE TRIGGER curves_hash_update AFTER UPDATE ON curves BEGIN
  UPDATE row_hashes SET key = json_array(new."id"), hash = row_hash(new."id", new."mic_id", new."name", new."source", new."distance_m", new."note", new."points", new."created_at", new."pattern", new."picture") WHERE subject = 'curves' AND key = json_array(old."id");
END;

CREATE TRIGGER dated_changes_hash_delete AFTER DELETE ON dated_changes BEGIN
  DELETE FROM row_hashes WHERE subject = 'dated_changes' AND key = json_array(old."of_table", old."row_id");
END;

CREATE TRIGGER dated_changes_hash_insert AFTER INSERT ON dated_changes BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('dated_changes', json_array(new."of_table", new."row_id"), row_hash(new."of_table", new."row_id", new."at", new."machine", new."parents", new."own_at", new."own_machine"));
END;

CREATE TRIGGER dated_changes_hash_update AFTER UPDATE ON dated_changes BEGIN
  UPDATE row_hashes SET key = json_array(new."of_table", new."row_id"), hash = row_hash(new."of_table", new."row_id", new."at", new."machine", new."parents", new."own_at", new."own_machine") WHERE subject = 'dated_changes' AND key = json_array(old."of_table", old."row_id");
END;

CREATE TRIGGER deliveries_hash_delete AFTER DELETE ON deliveries BEGIN
  DELETE FROM row_hashes WHERE subject = 'deliveries' AND key = json_array(old."id");
END;

CREATE TRIGGER deliveries_hash_insert AFTER INSERT ON deliveries BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('deliveries', json_array(new."id"), row_hash(new."id", new."session_id", new."number", new."folder", new."manifest_sha256", new."files", new."bytes", new."made_from", new."changes", new."created_at", new."is_foreign"));
END;

CREATE TRIGGER deliveries_hash_update AFTER UPDATE ON deliveries BEGIN
  UPDATE row_hashes SET key = json_array(new."id"), hash = row_hash(new."id", new."session_id", new."number", new."folder", new."manifest_sha256", new."files", new."bytes", new."made_from", new."changes", new."created_at", new."is_foreign") WHERE subject = 'deliveries' AND key = json_array(old."id");
END;

CREATE TRIGGER entity_changes_hash_delete AFTER DELETE ON entity_changes BEGIN
  DELETE FROM row_hashes WHERE subject = 'entity_changes' AND key = json_array(old."id");
END;

CREATE TRIGGER entity_changes_hash_insert AFTER INSERT ON entity_changes BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('entity_changes', json_array(new."id"), row_hash(new."id", new."kind", new."entity", new."artist_id", new."session_id", new."artist_name", new."name", new."other_name", new."before", new."created_at"));
END;

CREATE TRIGGER entity_changes_hash_update AFTER UPDATE ON entity_changes BEGIN
  UPDATE row_hashes SET key = json_array(new."id"), hash = row_hash(new."id", new."kind", new."entity", new."artist_id", new."session_id", new."artist_name", new."name", new."other_name", new."before", new."created_at") WHERE subject = 'entity_changes' AND key = json_array(old."id");
END;

CREATE TRIGGER groups_dated_delete AFTER DELETE ON groups BEGIN
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('settings', old.session_id, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = 'settings' AND row_id = old.session_id
        UNION ALL SELECT at FROM kept_states WHERE of_table = 'settings' AND row_id = old.session_id
        UNION ALL SELECT (SELECT created_at FROM sessions WHERE id = old.session_id)))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1),
      coalesce((SELECT CASE
          WHEN machine IS (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1) AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = 'settings' AND kept.row_id = old.session_id AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = 'settings' AND row_id = old.session_id),
        json_array(json_object('at', (SELECT created_at FROM sessions WHERE id = old.session_id), 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = 'settings' AND row_id = old.session_id;
END;

CREATE TRIGGER groups_dated_insert AFTER INSERT ON groups BEGIN
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('settings', new.session_id, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = 'settings' AND row_id = new.session_id
        UNION ALL SELECT at FROM kept_states WHERE of_table = 'settings' AND row_id = new.session_id
        UNION ALL SELECT (SELECT created_at FROM sessions WHERE id = new.session_id)))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1),
      coalesce((SELECT CASE
          WHEN machine IS (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1) AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = 'settings' AND kept.row_id = new.session_id AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = 'settings' AND row_id = new.session_id),
        json_array(json_object('at', (SELECT created_at FROM sessions WHERE id = new.session_id), 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = 'settings' AND row_id = new.session_id;
END;

CREATE TRIGGER groups_dated_update AFTER UPDATE ON groups BEGIN
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('settings', new.session_id, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = 'settings' AND row_id = new.session_id
        UNION ALL SELECT at FROM kept_states WHERE of_table = 'settings' AND row_id = new.session_id
        UNION ALL SELECT (SELECT created_at FROM sessions WHERE id = new.session_id)))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1),
      coalesce((SELECT CASE
          WHEN machine IS (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1) AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = 'settings' AND kept.row_id = new.session_id AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = 'settings' AND row_id = new.session_id),
        json_array(json_object('at', (SELECT created_at FROM sessions WHERE id = new.session_id), 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = 'settings' AND row_id = new.session_id;
END;

CREATE TRIGGER groups_hash_delete AFTER DELETE ON groups BEGIN
  DELETE FROM row_hashes WHERE subject = 'groups' AND key = json_array(old."id");
END;

CREATE TRIGGER groups_hash_insert AFTER INSERT ON groups BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('groups', json_array(new."id"), row_hash(new."id", new."session_id", new."name", new."chain_version_id", new."gain_db", new."position", new."uuid"));
END;

CREATE TRIGGER groups_hash_update AFTER UPDATE ON groups BEGIN
  UPDATE row_hashes SET key = json_array(new."id"), hash = row_hash(new."id", new."session_id", new."name", new."chain_version_id", new."gain_db", new."position", new."uuid") WHERE subject = 'groups' AND key = json_array(old."id");
END;

CREATE TRIGGER groups_have_identity BEFORE INSERT ON groups WHEN new.uuid IS NULL BEGIN
  SELECT RAISE(ABORT, 'a row without a UUID');
END;

CREATE TRIGGER groups_leave_identity AFTER DELETE ON groups BEGIN
  INSERT INTO other_identities (uuid, of_table, row_id, standing) VALUES (old.uuid, 'groups', old.id, 'removed');
END;

CREATE TRIGGER groups_take_identity AFTER INSERT ON groups BEGIN
  DELETE FROM other_identities WHERE uuid = new.uuid;
END;

CREATE TRIGGER history_imports_hash_delete AFTER DELETE ON history_imports BEGIN
  DELETE FROM row_hashes WHERE subject = 'history_imports' AND key = json_array(old."id");
END;

CREATE TRIGGER history_imports_hash_insert AFTER INSERT ON history_imports BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('history_imports', json_array(new."id"), row_hash(new."id", new."artist_id", new."artist_name", new."name", new."sha256", new."added", new."conflicts", new."created_at"));
END;

CREATE TRIGGER history_imports_hash_update AFTER UPDATE ON history_imports BEGIN
  UPDATE row_hashes SET key = json_array(new."id"), hash = row_hash(new."id", new."artist_id", new."artist_name", new."name", new."sha256", new."added", new."conflicts", new."created_at") WHERE subject = 'history_imports' AND key = json_array(old."id");
END;

CREATE TRIGGER kept_states_hash_delete AFTER DELETE ON kept_states BEGIN
  DELETE FROM row_hashes WHERE subject = 'kept_states' AND key = json_array(old."id");
END;

CREATE TRIGGER kept_states_hash_insert AFTER INSERT ON kept_states BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('kept_states', json_array(new."id"), row_hash(new."id", new."of_table", new."row_id", new."at", new."machine", new."state", new."kept_at", new."parents"));
END;

CREATE TRIGGER kept_states_hash_update AFTER UPDATE ON kept_states BEGIN
  UPDATE row_hashes SET key = json_array(new."id"), hash = row_hash(new."id", new."of_table", new."row_id", new."at", new."machine", new."state", new."kept_at", new."parents") WHERE subject = 'kept_states' AND key = json_array(old."id");
END;

CREATE TRIGGER layers_dated_delete AFTER DELETE ON layers BEGIN
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('settings', old.session_id, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = 'settings' AND row_id = old.session_id
        UNION ALL SELECT at FROM kept_states WHERE of_table = 'settings' AND row_id = old.session_id
        UNION ALL SELECT (SELECT created_at FROM sessions WHERE id = old.session_id)))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1),
      coalesce((SELECT CASE
          WHEN machine IS (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1) AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = 'settings' AND kept.row_id = old.session_id AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = 'settings' AND row_id = old.session_id),
        json_array(json_object('at', (SELECT created_at FROM sessions WHERE id = old.session_id), 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = 'settings' AND row_id = old.session_id;
END;

CREATE TRIGGER layers_dated_insert AFTER INSERT ON layers BEGIN
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('settings', new.session_id, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = 'settings' AND row_id = new.session_id
        UNION ALL SELECT at FROM kept_states WHERE of_table = 'settings' AND row_id = new.session_id
        UNION ALL SELECT (SELECT created_at FROM sessions WHERE id = new.session_id)))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1),
      coalesce((SELECT CASE
          WHEN machine IS (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1) AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = 'settings' AND kept.row_id = new.session_id AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = 'settings' AND row_id = new.session_id),
        json_array(json_object('at', (SELECT created_at FROM sessions WHERE id = new.session_id), 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = 'settings' AND row_id = new.session_id;
END;

CREATE TRIGGER layers_dated_update AFTER UPDATE ON layers BEGIN
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('settings', new.session_id, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = 'settings' AND row_id = new.session_id
        UNION ALL SELECT at FROM kept_states WHERE of_table = 'settings' AND row_id = new.session_id
        UNION ALL SELECT (SELECT created_at FROM sessions WHERE id = new.session_id)))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1),
      coalesce((SELECT CASE
          WHEN machine IS (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1) AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = 'settings' AND kept.row_id = new.session_id AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = 'settings' AND row_id = new.session_id),
        json_array(json_object('at', (SELECT created_at FROM sessions WHERE id = new.session_id), 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = 'settings' AND row_id = new.session_id;
END;

CREATE TRIGGER layers_hash_delete AFTER DELETE ON layers BEGIN
  DELETE FROM row_hashes WHERE subject = 'layers' AND key = json_array(old."id");
END;

CREATE TRIGGER layers_hash_insert AFTER INSERT ON layers BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('layers', json_array(new."id"), row_hash(new."id", new."session_id", new."group_id", new."take_id", new."name", new."role", new."offset_samples", new."gain_db", new."pan", new."muted", new."position", new."uuid", new."polarity_inverted"));
END;

CREATE TRIGGER layers_hash_update AFTER UPDATE ON layers BEGIN
  UPDATE row_hashes SET key = json_array(new."id"), hash = row_hash(new."id", new."session_id", new."group_id", new."take_id", new."name", new."role", new."offset_samples", new."gain_db", new."pan", new."muted", new."position", new."uuid", new."polarity_inverted") WHERE subject = 'layers' AND key = json_array(old."id");
END;

CREATE TRIGGER layers_have_identity BEFORE INSERT ON layers WHEN new.uuid IS NULL BEGIN
  SELECT RAISE(ABORT, 'a row without a UUID');
END;

CREATE TRIGGER layers_leave_identity AFTER DELETE ON layers BEGIN
  INSERT INTO other_identities (uuid, of_table, row_id, standing) VALUES (old.uuid, 'layers', old.id, 'removed');
END;

CREATE TRIGGER layers_take_identity AFTER INSERT ON layers BEGIN
  DELETE FROM other_identities WHERE uuid = new.uuid;
END;

CREATE TRIGGER machines_hash_delete AFTER DELETE ON machines BEGIN
  DELETE FROM row_hashes WHERE subject = 'machines' AND key = json_array(old."uuid");
END;

CREATE TRIGGER machines_hash_insert AFTER INSERT ON machines BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('machines', json_array(new."uuid"), row_hash(new."uuid", new."name", new."writes_here"));
END;

CREATE TRIGGER machines_hash_update AFTER UPDATE ON machines BEGIN
  UPDATE row_hashes SET key = json_array(new."uuid"), hash = row_hash(new."uuid", new."name", new."writes_here") WHERE subject = 'machines' AND key = json_array(old."uuid");
END;

CREATE TRIGGER mics_dated AFTER UPDATE OF name, serial, pattern, note ON mics WHEN old.name IS NOT new.name OR old.serial IS NOT new.serial OR old.pattern IS NOT new.pattern OR old.note IS NOT new.note BEGIN
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('mics', new.id, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = 'mics' AND row_id = new.id
        UNION ALL SELECT at FROM kept_states WHERE of_table = 'mics' AND row_id = new.id
        UNION ALL SELECT new.created_at))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1),
      coalesce((SELECT CASE
          WHEN machine IS (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1) AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = 'mics' AND kept.row_id = new.id AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = 'mics' AND row_id = new.id),
        json_array(json_object('at', new.created_at, 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = 'mics' AND row_id = new.id;
END;

CREATE TRIGGER mics_hash_delete AFTER DELETE ON mics BEGIN
  DELETE FROM row_hashes WHERE subject = 'mics' AND key = json_array(old."id");
END;

CREATE TRIGGER mics_hash_insert AFTER INSERT ON mics BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('mics', json_array(new."id"), row_hash(new."id", new."name", new."serial", new."pattern", new."note", new."created_at", new."uuid"));
END;

CREATE TRIGGER mics_hash_update AFTER UPDATE ON mics BEGIN
  UPDATE row_hashes SET key = json_array(new."id"), hash = row_hash(new."id", new."name", new."serial", new."pattern", new."note", new."created_at", new."uuid") WHERE subject = 'mics' AND key = json_array(old."id");
END;

CREATE TRIGGER mics_have_identity BEFORE INSERT ON mics WHEN new.uuid IS NULL BEGIN
  SELECT RAISE(ABORT, 'a row without a UUID');
END;

CREATE TRIGGER mics_leave_identity AFTER DELETE ON mics BEGIN
  INSERT INTO other_identities (uuid, of_table, row_id, standing) VALUES (old.uuid, 'mics', old.id, 'removed');
END;

CREATE TRIGGER mics_take_identity AFTER INSERT ON mics BEGIN
  DELETE FROM other_identities WHERE uuid = new.uuid;
END;

CREATE TRIGGER other_identities_hash_delete AFTER DELETE ON other_identities BEGIN
  DELETE FROM row_hashes WHERE subject = 'other_identities' AND key = json_array(old."uuid");
END;

CREATE TRIGGER other_identities_hash_insert AFTER INSERT ON other_identities BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('other_identities', json_array(new."uuid"), row_hash(new."uuid", new."of_table", new."row_id", new."standing"));
END;

CREATE TRIGGER other_identities_hash_update AFTER UPDATE ON other_identities BEGIN
  UPDATE row_hashes SET key = json_array(new."uuid"), hash = row_hash(new."uuid", new."of_table", new."row_id", new."standing") WHERE subject = 'other_identities' AND key = json_array(old."uuid");
END;

CREATE TRIGGER sections_dated_delete AFTER DELETE ON sections BEGIN
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('sections', old.session_id, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = 'sections' AND row_id = old.session_id
        UNION ALL SELECT at FROM kept_states WHERE of_table = 'sections' AND row_id = old.session_id
        UNION ALL SELECT (SELECT created_at FROM sessions WHERE id = old.session_id)))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1),
      coalesce((SELECT CASE
          WHEN machine IS (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1) AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = 'sections' AND kept.row_id = old.session_id AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = 'sections' AND row_id = old.session_id),
        json_array(json_object('at', (SELECT created_at FROM sessions WHERE id = old.session_id), 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = 'sections' AND row_id = old.session_id;
END;

CREATE TRIGGER sections_dated_insert AFTER INSERT ON sections BEGIN
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('sections', new.session_id, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = 'sections' AND row_id = new.session_id
        UNION ALL SELECT at FROM kept_states WHERE of_table = 'sections' AND row_id = new.session_id
        UNION ALL SELECT (SELECT created_at FROM sessions WHERE id = new.session_id)))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1),
      coalesce((SELECT CASE
          WHEN machine IS (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1) AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = 'sections' AND kept.row_id = new.session_id AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = 'sections' AND row_id = new.session_id),
        json_array(json_object('at', (SELECT created_at FROM sessions WHERE id = new.session_id), 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = 'sections' AND row_id = new.session_id;
END;

CREATE TRIGGER sections_dated_update AFTER UPDATE ON sections BEGIN
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('sections', new.session_id, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = 'sections' AND row_id = new.session_id
        UNION ALL SELECT at FROM kept_states WHERE of_table = 'sections' AND row_id = new.session_id
        UNION ALL SELECT (SELECT created_at FROM sessions WHERE id = new.session_id)))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1),
      coalesce((SELECT CASE
          WHEN machine IS (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1) AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = 'sections' AND kept.row_id = new.session_id AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = 'sections' AND row_id = new.session_id),
        json_array(json_object('at', (SELECT created_at FROM sessions WHERE id = new.session_id), 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = 'sections' AND row_id = new.session_id;
END;

CREATE TRIGGER sections_hash_delete AFTER DELETE ON sections BEGIN
  DELETE FROM row_hashes WHERE subject = 'sections' AND key = json_array(old."id");
END;

CREATE TRIGGER sections_hash_insert AFTER INSERT ON sections BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('sections', json_array(new."id"), row_hash(new."id", new."session_id", new."name", new."start_samples", new."length_samples", new."note"));
END;

CREATE TRIGGER sections_hash_update AFTER UPDATE ON sections BEGIN
  UPDATE row_hashes SET key = json_array(new."id"), hash = row_hash(new."id", new."session_id", new."name", new."start_samples", new."length_samples", new."note") WHERE subject = 'sections' AND key = json_array(old."id");
END;

CREATE TRIGGER session_takes_hash_delete AFTER DELETE ON session_takes BEGIN
  DELETE FROM row_hashes WHERE subject = 'session_takes' AND key = json_array(old."session_id", old."take_id");
END;

CREATE TRIGGER session_takes_hash_insert AFTER INSERT ON session_takes BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('session_takes', json_array(new."session_id", new."take_id"), row_hash(new."session_id", new."take_id"));
END;

CREATE TRIGGER session_takes_hash_update AFTER UPDATE ON session_takes BEGIN
  UPDATE row_hashes SET key = json_array(new."session_id", new."take_id"), hash = row_hash(new."session_id", new."take_id") WHERE subject = 'session_takes' AND key = json_array(old."session_id", old."take_id");
END;

CREATE TRIGGER sessions_dated AFTER UPDATE OF notes ON sessions WHEN old.notes IS NOT new.notes BEGIN
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('sessions', new.id, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = 'sessions' AND row_id = new.id
        UNION ALL SELECT at FROM kept_states WHERE of_table = 'sessions' AND row_id = new.id
        UNION ALL SELECT new.created_at))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1),
      coalesce((SELECT CASE
          WHEN machine IS (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1) AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = 'sessions' AND kept.row_id = new.id AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = 'sessions' AND row_id = new.id),
        json_array(json_object('at', new.created_at, 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = 'sessions' AND row_id = new.id;
END;

CREATE TRIGGER sessions_hash_delete AFTER DELETE ON sessions BEGIN
  DELETE FROM row_hashes WHERE subject = 'sessions' AND key = json_array(old."id");
END;

CREATE TRIGGER sessions_hash_insert AFTER INSERT ON sessions BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('sessions', json_array(new."id"), row_hash(new."id", new."song_id", new."date", new."sample_rate_hz", new."tempo_bpm", new."notes", new."pan_law", new."start_of_day_s", new."chain_sharing", new."shared_chain_version_id", new."created_at", new."beats_per_bar", new."beat_unit", new."tempo_changes", new."uuid"));
END;

CREATE TRIGGER sessions_hash_update AFTER UPDATE ON sessions BEGIN
  UPDATE row_hashes SET key = json_array(new."id"), hash = row_hash(new."id", new."song_id", new."date", new."sample_rate_hz", new."tempo_bpm", new."notes", new."pan_law", new."start_of_day_s", new."chain_sharing", new."shared_chain_version_id", new."created_at", new."beats_per_bar", new."beat_unit", new."tempo_changes", new."uuid") WHERE subject = 'sessions' AND key = json_array(old."id");
END;

CREATE TRIGGER sessions_have_identity BEFORE INSERT ON sessions WHEN new.uuid IS NULL BEGIN
  SELECT RAISE(ABORT, 'a row without a UUID');
END;

CREATE TRIGGER sessions_leave_identity AFTER DELETE ON sessions BEGIN
  INSERT INTO other_identities (uuid, of_table, row_id, standing) VALUES (old.uuid, 'sessions', old.id, 'removed');
END;

CREATE TRIGGER sessions_settings_dated AFTER UPDATE OF date, tempo_bpm, beats_per_bar, beat_unit, tempo_changes, pan_law, start_of_day_s, chain_sharing,
  shared_chain_version_id ON sessions WHEN old.date IS NOT new.date OR old.tempo_bpm IS NOT new.tempo_bpm OR old.beats_per_bar IS NOT new.beats_per_bar OR old.beat_unit IS NOT new.beat_unit OR old.tempo_changes IS NOT new.tempo_changes OR old.pan_law IS NOT new.pan_law OR old.start_of_day_s IS NOT new.start_of_day_s OR old.chain_sharing IS NOT new.chain_sharing OR old.shared_chain_version_id IS NOT new.shared_chain_version_id BEGIN
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('settings', new.id, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = 'settings' AND row_id = new.id
        UNION ALL SELECT at FROM kept_states WHERE of_table = 'settings' AND row_id = new.id
        UNION ALL SELECT new.created_at))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1),
      coalesce((SELECT CASE
          WHEN machine IS (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1) AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = 'settings' AND kept.row_id = new.id AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = 'settings' AND row_id = new.id),
        json_array(json_object('at', new.created_at, 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = 'settings' AND row_id = new.id;
END;

CREATE TRIGGER sessions_take_identity AFTER INSERT ON sessions BEGIN
  DELETE FROM other_identities WHERE uuid = new.uuid;
END;

CREATE TRIGGER songs_dated AFTER UPDATE OF title ON songs WHEN old.title IS NOT new.title BEGIN
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('songs', new.id, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = 'songs' AND row_id = new.id
        UNION ALL SELECT at FROM kept_states WHERE of_table = 'songs' AND row_id = new.id
        UNION ALL SELECT new.created_at))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1),
      coalesce((SELECT CASE
          WHEN machine IS (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1) AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = 'songs' AND kept.row_id = new.id AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = 'songs' AND row_id = new.id),
        json_array(json_object('at', new.created_at, 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = 'songs' AND row_id = new.id;
END;

CREATE TRIGGER songs_hash_delete AFTER DELETE ON songs BEGIN
  DELETE FROM row_hashes WHERE subject = 'songs' AND key = json_array(old."id");
END;

CREATE TRIGGER songs_hash_insert AFTER INSERT ON songs BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('songs', json_array(new."id"), row_hash(new."id", new."artist_id", new."title", new."created_at", new."uuid"));
END;

CREATE TRIGGER songs_hash_update AFTER UPDATE ON songs BEGIN
  UPDATE row_hashes SET key = json_array(new."id"), hash = row_hash(new."id", new."artist_id", new."title", new."created_at", new."uuid") WHERE subject = 'songs' AND key = json_array(old."id");
END;

CREATE TRIGGER songs_have_identity BEFORE INSERT ON songs WHEN new.uuid IS NULL BEGIN
  SELECT RAISE(ABORT, 'a row without a UUID');
END;

CREATE TRIGGER songs_leave_identity AFTER DELETE ON songs BEGIN
  INSERT INTO other_identities (uuid, of_table, row_id, standing) VALUES (old.uuid, 'songs', old.id, 'removed');
END;

CREATE TRIGGER songs_take_identity AFTER INSERT ON songs BEGIN
  DELETE FROM other_identities WHERE uuid = new.uuid;
END;

CREATE TRIGGER take_checks_hash_delete AFTER DELETE ON take_checks BEGIN
  DELETE FROM row_hashes WHERE subject = 'take_checks' AND key = json_array(old."id");
END;

CREATE TRIGGER take_checks_hash_insert AFTER INSERT ON take_checks BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('take_checks', json_array(new."id"), row_hash(new."id", new."take_id", new."checked_at", new."size_bytes", new."modified_ns", new."result", new."is_news"));
END;

CREATE TRIGGER take_checks_hash_update AFTER UPDATE ON take_checks BEGIN
  UPDATE row_hashes SET key = json_array(new."id"), hash = row_hash(new."id", new."take_id", new."checked_at", new."size_bytes", new."modified_ns", new."result", new."is_news") WHERE subject = 'take_checks' AND key = json_array(old."id");
END;

CREATE TRIGGER take_copies_hash_delete AFTER DELETE ON take_copies BEGIN
  DELETE FROM row_hashes WHERE subject = 'take_copies' AND key = json_array(old."id");
END;

CREATE TRIGGER take_copies_hash_insert AFTER INSERT ON take_copies BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('take_copies', json_array(new."id"), row_hash(new."id", new."take_id", new."path"));
END;

CREATE TRIGGER take_copies_hash_update AFTER UPDATE ON take_copies BEGIN
  UPDATE row_hashes SET key = json_array(new."id"), hash = row_hash(new."id", new."take_id", new."path") WHERE subject = 'take_copies' AND key = json_array(old."id");
END;

CREATE TRIGGER takes_are_immutable
BEFORE UPDATE OF id, sha256, container, encoding, sample_rate_hz, channels, frames, imported_at, facts ON takes
BEGIN
  SELECT RAISE(ABORT, 'the bytes, the format and the facts of a take cannot be changed');
END;

CREATE TRIGGER takes_dated AFTER UPDATE OF name, voice_id, mic_id, curve_id ON takes WHEN old.name IS NOT new.name OR old.voice_id IS NOT new.voice_id OR old.mic_id IS NOT new.mic_id OR old.curve_id IS NOT new.curve_id BEGIN
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('takes', new.id, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = 'takes' AND row_id = new.id
        UNION ALL SELECT at FROM kept_states WHERE of_table = 'takes' AND row_id = new.id
        UNION ALL SELECT new.imported_at))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1),
      coalesce((SELECT CASE
          WHEN machine IS (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1) AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = 'takes' AND kept.row_id = new.id AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = 'takes' AND row_id = new.id),
        json_array(json_object('at', new.imported_at, 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = 'takes' AND row_id = new.id;
END;

CREATE TRIGGER takes_hash_delete AFTER DELETE ON takes BEGIN
  DELETE FROM row_hashes WHERE subject = 'takes' AND key = json_array(old."id");
END;

CREATE TRIGGER takes_hash_insert AFTER INSERT ON takes BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('takes', json_array(new."id"), row_hash(new."id", new."sha256", new."name", new."path", new."container", new."encoding", new."sample_rate_hz", new."channels", new."frames", new."imported_at", new."voice_id", new."mic_id", new."curve_id", new."facts", new."time_reference_samples", new."size_bytes"));
END;

CREATE TRIGGER takes_hash_update AFTER UPDATE ON takes BEGIN
  UPDATE row_hashes SET key = json_array(new."id"), hash = row_hash(new."id", new."sha256", new."name", new."path", new."container", new."encoding", new."sample_rate_hz", new."channels", new."frames", new."imported_at", new."voice_id", new."mic_id", new."curve_id", new."facts", new."time_reference_samples", new."size_bytes") WHERE subject = 'takes' AND key = json_array(old."id");
END;

CREATE TRIGGER takes_search_artist AFTER UPDATE OF name, note ON artists BEGIN
  INSERT OR REPLACE INTO takes_search (rowid, name, folder, artist, voice, mic, song, note, finding)
  
  SELECT takes.id, takes.name,
  CASE WHEN takes.path GLOB 'incoming[/\]*' THEN '' ELSE takes.path END,
  coalesce(own.name, (SELECT group_concat(artists.name, ' / ') FROM session_takes
    JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id JOIN artists ON artists.id = artist_id
    WHERE take_id = takes.id), ''),
  coalesce(voices.name, ''),
  coalesce(mics.name || ' ' || mics.serial, ''),
  coalesce((SELECT group_concat(title, ' / ') FROM session_takes
    JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id
    WHERE take_id = takes.id), ''),
  coalesce(own.note, '') || char(10) || coalesce(voices.note, '') || char(10) || coalesce(mics.note, '') || char(10) ||
    coalesce((SELECT group_concat(notes, char(10)) FROM session_takes JOIN sessions ON sessions.id = session_id
    WHERE take_id = takes.id), ''),
  coalesce((SELECT group_concat(value ->> '$.kind', ' ') FROM json_each(takes.facts, '$.findings')), '')
FROM takes
  LEFT JOIN voices ON voices.id = takes.voice_id
  LEFT JOIN artists AS own ON own.id = voices.artist_id
  LEFT JOIN mics ON mics.id = takes.mic_id WHERE takes.id IN (SELECT takes.id FROM voices JOIN takes ON voice_id = voices.id WHERE artist_id = new.id
      UNION SELECT take_id FROM session_takes JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id WHERE artist_id = new.id);
END;

CREATE TRIGGER takes_search_delete AFTER DELETE ON takes BEGIN
  DELETE FROM takes_search WHERE rowid = old.id;
END;

CREATE TRIGGER takes_search_insert AFTER INSERT ON takes BEGIN
  INSERT OR REPLACE INTO takes_search (rowid, name, folder, artist, voice, mic, song, note, finding)
  
  SELECT takes.id, takes.name,
  CASE WHEN takes.path GLOB 'incoming[/\]*' THEN '' ELSE takes.path END,
  coalesce(own.name, (SELECT group_concat(artists.name, ' / ') FROM session_takes
    JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id JOIN artists ON artists.id = artist_id
    WHERE take_id = takes.id), ''),
  coalesce(voices.name, ''),
  coalesce(mics.name || ' ' || mics.serial, ''),
  coalesce((SELECT group_concat(title, ' / ') FROM session_takes
    JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id
    WHERE take_id = takes.id), ''),
  coalesce(own.note, '') || char(10) || coalesce(voices.note, '') || char(10) || coalesce(mics.note, '') || char(10) ||
    coalesce((SELECT group_concat(notes, char(10)) FROM session_takes JOIN sessions ON sessions.id = session_id
    WHERE take_id = takes.id), ''),
  coalesce((SELECT group_concat(value ->> '$.kind', ' ') FROM json_each(takes.facts, '$.findings')), '')
FROM takes
  LEFT JOIN voices ON voices.id = takes.voice_id
  LEFT JOIN artists AS own ON own.id = voices.artist_id
  LEFT JOIN mics ON mics.id = takes.mic_id WHERE takes.id IN (SELECT new.id);
END;

CREATE TRIGGER takes_search_link AFTER INSERT ON session_takes BEGIN
  INSERT OR REPLACE INTO takes_search (rowid, name, folder, artist, voice, mic, song, note, finding)
  
  SELECT takes.id, takes.name,
  CASE WHEN takes.path GLOB 'incoming[/\]*' THEN '' ELSE takes.path END,
  coalesce(own.name, (SELECT group_concat(artists.name, ' / ') FROM session_takes
    JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id JOIN artists ON artists.id = artist_id
    WHERE take_id = takes.id), ''),
  coalesce(voices.name, ''),
  coalesce(mics.name || ' ' || mics.serial, ''),
  coalesce((SELECT group_concat(title, ' / ') FROM session_takes
    JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id
    WHERE take_id = takes.id), ''),
  coalesce(own.note, '') || char(10) || coalesce(voices.note, '') || char(10) || coalesce(mics.note, '') || char(10) ||
    coalesce((SELECT group_concat(notes, char(10)) FROM session_takes JOIN sessions ON sessions.id = session_id
    WHERE take_id = takes.id), ''),
  coalesce((SELECT group_concat(value ->> '$.kind', ' ') FROM json_each(takes.facts, '$.findings')), '')
FROM takes
  LEFT JOIN voices ON voices.id = takes.voice_id
  LEFT JOIN artists AS own ON own.id = voices.artist_id
  LEFT JOIN mics ON mics.id = takes.mic_id WHERE takes.id IN (SELECT new.take_id);
END;

CREATE TRIGGER takes_search_mic AFTER UPDATE OF name, serial, note ON mics BEGIN
  INSERT OR REPLACE INTO takes_search (rowid, name, folder, artist, voice, mic, song, note, finding)
  
  SELECT takes.id, takes.name,
  CASE WHEN takes.path GLOB 'incoming[/\]*' THEN '' ELSE takes.path END,
  coalesce(own.name, (SELECT group_concat(artists.name, ' / ') FROM session_takes
    JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id JOIN artists ON artists.id = artist_id
    WHERE take_id = takes.id), ''),
  coalesce(voices.name, ''),
  coalesce(mics.name || ' ' || mics.serial, ''),
  coalesce((SELECT group_concat(title, ' / ') FROM session_takes
    JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id
    WHERE take_id = takes.id), ''),
  coalesce(own.note, '') || char(10) || coalesce(voices.note, '') || char(10) || coalesce(mics.note, '') || char(10) ||
    coalesce((SELECT group_concat(notes, char(10)) FROM session_takes JOIN sessions ON sessions.id = session_id
    WHERE take_id = takes.id), ''),
  coalesce((SELECT group_concat(value ->> '$.kind', ' ') FROM json_each(takes.facts, '$.findings')), '')
FROM takes
  LEFT JOIN voices ON voices.id = takes.voice_id
  LEFT JOIN artists AS own ON own.id = voices.artist_id
  LEFT JOIN mics ON mics.id = takes.mic_id WHERE takes.id IN (SELECT id FROM takes WHERE mic_id = new.id);
END;

CREATE TRIGGER takes_search_session AFTER UPDATE OF notes, song_id ON sessions BEGIN
  INSERT OR REPLACE INTO takes_search (rowid, name, folder, artist, voice, mic, song, note, finding)
  
  SELECT takes.id, takes.name,
  CASE WHEN takes.path GLOB 'incoming[/\]*' THEN '' ELSE takes.path END,
  coalesce(own.name, (SELECT group_concat(artists.name, ' / ') FROM session_takes
    JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id JOIN artists ON artists.id = artist_id
    WHERE take_id = takes.id), ''),
  coalesce(voices.name, ''),
  coalesce(mics.name || ' ' || mics.serial, ''),
  coalesce((SELECT group_concat(title, ' / ') FROM session_takes
    JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id
    WHERE take_id = takes.id), ''),
  coalesce(own.note, '') || char(10) || coalesce(voices.note, '') || char(10) || coalesce(mics.note, '') || char(10) ||
    coalesce((SELECT group_concat(notes, char(10)) FROM session_takes JOIN sessions ON sessions.id = session_id
    WHERE take_id = takes.id), ''),
  coalesce((SELECT group_concat(value ->> '$.kind', ' ') FROM json_each(takes.facts, '$.findings')), '')
FROM takes
  LEFT JOIN voices ON voices.id = takes.voice_id
  LEFT JOIN artists AS own ON own.id = voices.artist_id
  LEFT JOIN mics ON mics.id = takes.mic_id WHERE takes.id IN (SELECT take_id FROM session_takes JOIN sessions ON sessions.id = session_id WHERE session_id = new.id);
END;

CREATE TRIGGER takes_search_song AFTER UPDATE OF title, artist_id ON songs BEGIN
  INSERT OR REPLACE INTO takes_search (rowid, name, folder, artist, voice, mic, song, note, finding)
  
  SELECT takes.id, takes.name,
  CASE WHEN takes.path GLOB 'incoming[/\]*' THEN '' ELSE takes.path END,
  coalesce(own.name, (SELECT group_concat(artists.name, ' / ') FROM session_takes
    JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id JOIN artists ON artists.id = artist_id
    WHERE take_id = takes.id), ''),
  coalesce(voices.name, ''),
  coalesce(mics.name || ' ' || mics.serial, ''),
  coalesce((SELECT group_concat(title, ' / ') FROM session_takes
    JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id
    WHERE take_id = takes.id), ''),
  coalesce(own.note, '') || char(10) || coalesce(voices.note, '') || char(10) || coalesce(mics.note, '') || char(10) ||
    coalesce((SELECT group_concat(notes, char(10)) FROM session_takes JOIN sessions ON sessions.id = session_id
    WHERE take_id = takes.id), ''),
  coalesce((SELECT group_concat(value ->> '$.kind', ' ') FROM json_each(takes.facts, '$.findings')), '')
FROM takes
  LEFT JOIN voices ON voices.id = takes.voice_id
  LEFT JOIN artists AS own ON own.id = voices.artist_id
  LEFT JOIN mics ON mics.id = takes.mic_id WHERE takes.id IN (SELECT take_id FROM session_takes JOIN sessions ON sessions.id = session_id WHERE song_id = new.id);
END;

CREATE TRIGGER takes_search_unlink AFTER DELETE ON session_takes BEGIN
  INSERT OR REPLACE INTO takes_search (rowid, name, folder, artist, voice, mic, song, note, finding)
  
  SELECT takes.id, takes.name,
  CASE WHEN takes.path GLOB 'incoming[/\]*' THEN '' ELSE takes.path END,
  coalesce(own.name, (SELECT group_concat(artists.name, ' / ') FROM session_takes
    JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id JOIN artists ON artists.id = artist_id
    WHERE take_id = takes.id), ''),
  coalesce(voices.name, ''),
  coalesce(mics.name || ' ' || mics.serial, ''),
  coalesce((SELECT group_concat(title, ' / ') FROM session_takes
    JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id
    WHERE take_id = takes.id), ''),
  coalesce(own.note, '') || char(10) || coalesce(voices.note, '') || char(10) || coalesce(mics.note, '') || char(10) ||
    coalesce((SELECT group_concat(notes, char(10)) FROM session_takes JOIN sessions ON sessions.id = session_id
    WHERE take_id = takes.id), ''),
  coalesce((SELECT group_concat(value ->> '$.kind', ' ') FROM json_each(takes.facts, '$.findings')), '')
FROM takes
  LEFT JOIN voices ON voices.id = takes.voice_id
  LEFT JOIN artists AS own ON own.id = voices.artist_id
  LEFT JOIN mics ON mics.id = takes.mic_id WHERE takes.id IN (SELECT old.take_id);
END;

CREATE TRIGGER takes_search_update AFTER UPDATE OF name, path, voice_id, mic_id ON takes BEGIN
  INSERT OR REPLACE INTO takes_search (rowid, name, folder, artist, voice, mic, song, note, finding)
  
  SELECT takes.id, takes.name,
  CASE WHEN takes.path GLOB 'incoming[/\]*' THEN '' ELSE takes.path END,
  coalesce(own.name, (SELECT group_concat(artists.name, ' / ') FROM session_takes
    JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id JOIN artists ON artists.id = artist_id
    WHERE take_id = takes.id), ''),
  coalesce(voices.name, ''),
  coalesce(mics.name || ' ' || mics.serial, ''),
  coalesce((SELECT group_concat(title, ' / ') FROM session_takes
    JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id
    WHERE take_id = takes.id), ''),
  coalesce(own.note, '') || char(10) || coalesce(voices.note, '') || char(10) || coalesce(mics.note, '') || char(10) ||
    coalesce((SELECT group_concat(notes, char(10)) FROM session_takes JOIN sessions ON sessions.id = session_id
    WHERE take_id = takes.id), ''),
  coalesce((SELECT group_concat(value ->> '$.kind', ' ') FROM json_each(takes.facts, '$.findings')), '')
FROM takes
  LEFT JOIN voices ON voices.id = takes.voice_id
  LEFT JOIN artists AS own ON own.id = voices.artist_id
  LEFT JOIN mics ON mics.id = takes.mic_id WHERE takes.id IN (SELECT new.id);
END;

CREATE TRIGGER takes_search_voice AFTER UPDATE OF name, note, artist_id ON voices BEGIN
  INSERT OR REPLACE INTO takes_search (rowid, name, folder, artist, voice, mic, song, note, finding)
  
  SELECT takes.id, takes.name,
  CASE WHEN takes.path GLOB 'incoming[/\]*' THEN '' ELSE takes.path END,
  coalesce(own.name, (SELECT group_concat(artists.name, ' / ') FROM session_takes
    JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id JOIN artists ON artists.id = artist_id
    WHERE take_id = takes.id), ''),
  coalesce(voices.name, ''),
  coalesce(mics.name || ' ' || mics.serial, ''),
  coalesce((SELECT group_concat(title, ' / ') FROM session_takes
    JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id
    WHERE take_id = takes.id), ''),
  coalesce(own.note, '') || char(10) || coalesce(voices.note, '') || char(10) || coalesce(mics.note, '') || char(10) ||
    coalesce((SELECT group_concat(notes, char(10)) FROM session_takes JOIN sessions ON sessions.id = session_id
    WHERE take_id = takes.id), ''),
  coalesce((SELECT group_concat(value ->> '$.kind', ' ') FROM json_each(takes.facts, '$.findings')), '')
FROM takes
  LEFT JOIN voices ON voices.id = takes.voice_id
  LEFT JOIN artists AS own ON own.id = voices.artist_id
  LEFT JOIN mics ON mics.id = takes.mic_id WHERE takes.id IN (SELECT id FROM takes WHERE voice_id = new.id);
END;

CREATE TRIGGER voices_dated AFTER UPDATE OF name, note ON voices WHEN old.name IS NOT new.name OR old.note IS NOT new.note BEGIN
  INSERT INTO dated_changes (of_table, row_id, at, machine, parents)
    VALUES ('voices', new.id, clock_after((SELECT max(at) FROM (
        SELECT at FROM dated_changes WHERE of_table = 'voices' AND row_id = new.id
        UNION ALL SELECT at FROM kept_states WHERE of_table = 'voices' AND row_id = new.id
        UNION ALL SELECT new.created_at))),
      (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1),
      coalesce((SELECT CASE
          WHEN machine IS (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1) AND NOT EXISTS (SELECT 1 FROM kept_states AS kept
            WHERE kept.of_table = 'voices' AND kept.row_id = new.id AND kept.at = dated_changes.at
              AND kept.machine = dated_changes.machine) THEN parents
          ELSE json_array(json_object('at', at, 'machine', coalesce(machine, ''))) END
        FROM dated_changes WHERE of_table = 'voices' AND row_id = new.id),
        json_array(json_object('at', new.created_at, 'machine', ''))))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine,
      parents = excluded.parents;
  UPDATE dated_changes SET own_at = at, own_machine = machine WHERE of_table = 'voices' AND row_id = new.id;
END;

CREATE TRIGGER voices_hash_delete AFTER DELETE ON voices BEGIN
  DELETE FROM row_hashes WHERE subject = 'voices' AND key = json_array(old."id");
END;

CREATE TRIGGER voices_hash_insert AFTER INSERT ON voices BEGIN
  INSERT INTO row_hashes (subject, key, hash) VALUES ('voices', json_array(new."id"), row_hash(new."id", new."artist_id", new."name", new."note", new."created_at", new."uuid"));
END;

CREATE TRIGGER voices_hash_update AFTER UPDATE ON voices BEGIN
  UPDATE row_hashes SET key = json_array(new."id"), hash = row_hash(new."id", new."artist_id", new."name", new."note", new."created_at", new."uuid") WHERE subject = 'voices' AND key = json_array(old."id");
END;

CREATE TRIGGER voices_have_identity BEFORE INSERT ON voices WHEN new.uuid IS NULL BEGIN
  SELECT RAISE(ABORT, 'a row without a UUID');
END;

CREATE TRIGGER voices_leave_identity AFTER DELETE ON voices BEGIN
  INSERT INTO other_identities (uuid, of_table, row_id, standing) VALUES (old.uuid, 'voices', old.id, 'removed');
END;

CREATE TRIGGER voices_take_identity AFTER INSERT ON voices BEGIN
  DELETE FROM other_identities WHERE uuid = new.uuid;
END;
