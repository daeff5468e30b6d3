// Gives everything that two computers may both have an identity that holds on both: a UUID for artists, voices,
// mics, songs, sessions, groups, layers and chains, and a hash of its whole content for each chain version. Stores
// when values were changed and where, and what was merged from other computers.

import { createHash } from 'node:crypto'
import type { Database } from 'better-sqlite3'
import { uuid7 } from '../../app/history/uuid7.ts'
import { versionHash, versionNode } from '../../app/history/version-hash.ts'
import type { Migration } from '../care/migrate.ts'

const TABLES = ['artists', 'voices', 'mics', 'songs', 'sessions', 'groups', 'layers', 'chains'] as const

/** The columns whose changes are dated, by the name that they are dated under. */
const DATED = [
  ['artists', 'artists', 'name, note', 'new.id'],
  ['voices', 'voices', 'name, note', 'new.id'],
  ['mics', 'mics', 'name, serial, pattern, note', 'new.id'],
  ['curves', 'curves', 'name, note', 'new.id'],
  ['songs', 'songs', 'title', 'new.id'],
  ['chains', 'chains', 'name', 'new.id'],
  ['takes', 'takes', 'name, voice_id, mic_id, curve_id', 'new.id'],
  ['sessions', 'sessions', 'notes', 'new.id'],
] as const

/** Statements set columns that keep their value, too. */
const differs = (columns: string): string =>
  columns
    .split(',')
    .map((column) => `old.${column.trim()} IS NOT new.${column.trim()}`)
    .join(' OR ')

const dateOf = (subject: string, row: string): string => `
  INSERT INTO dated_changes (of_table, row_id, at, machine)
    VALUES ('${subject}', ${row}, clock(), (SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1))
    ON CONFLICT (of_table, row_id) DO UPDATE SET at = excluded.at, machine = excluded.machine;`

export const identity: Migration = {
  number: 13,
  migrate(db: Database): void {
    db.exec(`
-- the computers that have written to this catalogue, or to a history that was merged into it
CREATE TABLE machines (
  uuid TEXT PRIMARY KEY CHECK (length(uuid) = 36),
  name TEXT NOT NULL,
  -- whether it has written to this file; computers known from merged histories may have the same name
  writes_here INTEGER NOT NULL CHECK (writes_here IN (0, 1))
) STRICT;
CREATE INDEX machines_by_name ON machines (name, writes_here);

-- UUIDs of removed rows, which get them back when they are restored, and of what was joined to another row
CREATE TABLE other_identities (
  uuid TEXT PRIMARY KEY CHECK (length(uuid) = 36),
  of_table TEXT NOT NULL,
  row_id INTEGER NOT NULL,
  standing TEXT NOT NULL CHECK (standing IN ('removed', 'joined'))
) STRICT;
CREATE INDEX other_identities_of_row ON other_identities (of_table, row_id);

-- when the values of a row were last changed, and on which computer; no entry while they are those of its making
CREATE TABLE dated_changes (
  -- name of the table; 'settings' for what is heard of a session
  of_table TEXT NOT NULL,
  row_id INTEGER NOT NULL,
  at TEXT NOT NULL,
  machine TEXT,
  PRIMARY KEY (of_table, row_id)
) STRICT;

-- values of other computers that differ from those here, and values that newer ones of another computer replaced
CREATE TABLE kept_states (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  of_table TEXT NOT NULL,
  row_id INTEGER NOT NULL,
  at TEXT NOT NULL,
  machine TEXT NOT NULL,
  state TEXT NOT NULL CHECK (json_valid(state)),
  kept_at TEXT NOT NULL
) STRICT;
CREATE INDEX kept_states_of_row ON kept_states (of_table, row_id);
CREATE INDEX kept_states_by_keeping ON kept_states (kept_at);

-- histories of other computers that were merged into this catalogue
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
CREATE INDEX history_imports_by_making ON history_imports (created_at);
CREATE INDEX history_imports_of_artist ON history_imports (artist_id);
`)
    const seed = seedOf(db)
    for (const table of TABLES) {
      db.exec(`ALTER TABLE ${table} ADD COLUMN uuid TEXT CHECK (length(uuid) = 36)`)
      nameRows(db, table, seed)
      db.exec(`
CREATE UNIQUE INDEX ${table}_by_uuid ON ${table} (uuid);
CREATE TRIGGER ${table}_have_identity BEFORE INSERT ON ${table} WHEN new.uuid IS NULL BEGIN
  SELECT RAISE(ABORT, 'a row without a UUID');
END;
CREATE TRIGGER ${table}_leave_identity AFTER DELETE ON ${table} BEGIN
  INSERT INTO other_identities (uuid, of_table, row_id, standing) VALUES (old.uuid, '${table}', old.id, 'removed');
END;
CREATE TRIGGER ${table}_take_identity AFTER INSERT ON ${table} BEGIN
  DELETE FROM other_identities WHERE uuid = new.uuid;
END;`)
    }
    rebuildVersions(db, seed)
    for (const [subject, table, columns, row] of DATED) {
      db.exec(`
CREATE TRIGGER ${table}_dated AFTER UPDATE OF ${columns} ON ${table} WHEN ${differs(columns)} BEGIN${dateOf(subject, row)}
END;`)
    }
    const heard = `date, tempo_bpm, beats_per_bar, beat_unit, tempo_changes, pan_law, start_of_day_s, chain_sharing,
  shared_chain_version_id`
    db.exec(`
CREATE TRIGGER sessions_settings_dated AFTER UPDATE OF ${heard} ON sessions WHEN ${differs(heard)} BEGIN${dateOf('settings', 'new.id')}
END;`)
    for (const table of ['groups', 'layers']) {
      for (const [act, row] of [
        ['INSERT', 'new'],
        ['UPDATE', 'new'],
        ['DELETE', 'old'],
      ] as const) {
        db.exec(`
CREATE TRIGGER ${table}_dated_${act.toLowerCase()} AFTER ${act} ON ${table} BEGIN${dateOf('settings', `${row}.session_id`)}
END;`)
      }
    }
  },
}

/**
 * What copies of one catalogue have in common however far they have gone apart: when its first entry was made.
 * Identities are derived from it, so that two copies that are migrated on two computers have the same.
 */
function seedOf(db: Database): string {
  const first = ['artists', 'mics', 'curves', 'songs', 'sessions', 'chains']
    .map((table) => `SELECT min(created_at) AS at FROM ${table}`)
    .join(' UNION ALL ')
  return db.prepare<[], string | null>(`SELECT min(at) FROM (${first})`).pluck().get() ?? ''
}

/** Ten bytes that follow from the text. */
const bytesFrom = (text: string): Uint8Array => createHash('sha256').update(text).digest().subarray(0, 10)

function nameRows(db: Database, table: (typeof TABLES)[number], seed: string): void {
  const madeAt =
    table === 'groups' || table === 'layers'
      ? `(SELECT created_at FROM sessions WHERE sessions.id = ${table}.session_id)`
      : 'created_at'
  const rows = db.prepare<[], { id: number; at: string }>(`SELECT id, ${madeAt} AS at FROM ${table}`).all()
  const name = db.prepare<[string, number]>(`UPDATE ${table} SET uuid = ? WHERE id = ?`)
  for (const { id, at } of rows) {
    name.run(uuid7(Date.parse(at) || 0, bytesFrom(`${seed} ${table} ${id} ${at}`)), id)
  }
}

interface OldVersion {
  readonly id: number
  readonly chain_id: number
  readonly chain: string
  readonly number: number
  readonly stages: string
  readonly sha256: string
  readonly note: string
  readonly created_at: string
}

/** Each version before counts as edited from the one before it, on a computer that was not noted. */
function rebuildVersions(db: Database, seed: string): void {
  db.exec(`
CREATE TABLE chain_versions_with_parents (
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
) STRICT;`)
  const rows = db
    .prepare<[], OldVersion>(
      `SELECT chain_versions.*, chains.uuid AS chain FROM chain_versions JOIN chains ON chains.id = chain_id
       ORDER BY chain_id, number`,
    )
    .all()
  if (rows.length > 0) {
    const machine = uuid7(Date.parse(seed) || 0, bytesFrom(`${seed} machine`))
    db.prepare('INSERT INTO machines (uuid, name, writes_here) VALUES (?, ?, 0)').run(
      machine,
      'a computer not noted',
    )
    const add = db.prepare(
      `INSERT INTO chain_versions_with_parents VALUES (@id, @chain_id, @number, @stages, @sha256, @note,
         @created_at, @parents, @machine, @node)`,
    )
    let before: { chain: string; node: string } | null = null
    for (const { chain, ...row } of rows) {
      const parents: string[] = before?.chain === chain ? [before.node] : []
      const node: string = versionHash(
        versionNode({
          chain,
          parents,
          stages: JSON.parse(row.stages) as unknown,
          note: row.note,
          machine,
          createdAt: row.created_at,
        }),
      )
      add.run({ ...row, parents: JSON.stringify(parents), machine, node })
      before = { chain, node }
    }
  }
  db.exec(`
DROP TABLE chain_versions;
ALTER TABLE chain_versions_with_parents RENAME TO chain_versions;
CREATE INDEX chain_versions_by_making ON chain_versions (created_at);
CREATE INDEX chain_versions_of_chain ON chain_versions (chain_id, number);
CREATE TRIGGER chain_versions_are_immutable BEFORE UPDATE ON chain_versions BEGIN
  SELECT RAISE(ABORT, 'a chain version cannot be changed');
END;
CREATE TRIGGER chain_versions_are_kept BEFORE DELETE ON chain_versions BEGIN
  SELECT RAISE(ABORT, 'a chain version cannot be removed');
END;`)
}
