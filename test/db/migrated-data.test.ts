// Migrations 011 to 018 on catalogues with data: nothing that was there is lost or changed, and the new columns say
// what they should of it.

import { join } from 'node:path'
import type Database from 'better-sqlite3'
import { describe, expect, it } from 'vitest'
import { migrate } from '../../db/care/migrate.ts'
import { findDamagedRow } from '../../db/care/row-hashes.ts'
import { migrations } from '../../db/migrations/migrations.ts'
import { facts, minute, sha256Of, stages } from './entries.ts'
import { oldCatalogueAt } from './old-catalogue.ts'
import { openForTest } from './open-for-test.ts'
import { rawOn } from './raw-connection.ts'
import { temporaryFolder } from './temporary-folder.ts'

type Row = Record<string, unknown>

/** Every table with its rows, without those that the file keeps of itself. */
function tablesOf(db: Database.Database): Map<string, Row[]> {
  const names = db
    .prepare<[], string>(
      `SELECT name FROM sqlite_schema WHERE type = 'table' AND sql NOT LIKE '%VIRTUAL%'
       AND name NOT LIKE 'sqlite_%' AND name NOT LIKE 'take_search%' AND name != 'row_hashes'`,
    )
    .pluck()
    .all()
  return new Map(
    names.map((name) => [name, db.prepare<[], Row>(`SELECT * FROM ${name} ORDER BY 1, 2`).all()]),
  )
}

/** Rows of a song at version 10, two sessions of which one is set to a shared chain. */
const AT_10 = `
  INSERT INTO artists (id, name, note, created_at) VALUES
    (3, 'Zoë Ångström <script>', 'приятно 🎙️', '${minute(0)}'), (5, 'Zoë Ångström <script>', '', '${minute(1)}');
  INSERT INTO voices (id, artist_id, name, note, created_at) VALUES (2, 3, '歌声', 'n', '${minute(2)}');
  INSERT INTO mics (id, name, serial, pattern, note, created_at) VALUES (4, 'M', 'S1', 'omni', '', '${minute(2)}');
  INSERT INTO curves (id, mic_id, name, source, pattern, distance_m, note, points, created_at)
    VALUES (6, 4, 'C', 'invented', 'omni', 1, '', '{"frequenciesHz":[50,1000],"levelsDb":[-3.5,0]}', '${minute(3)}');
  INSERT INTO songs (id, artist_id, title, created_at) VALUES (7, 3, 'Ночь — 夜', '${minute(4)}');
  INSERT INTO chains (id, voice_id, name, created_at) VALUES (8, 2, 'Sång', '${minute(5)}');
  INSERT INTO chain_versions (id, chain_id, number, stages, sha256, note, created_at) VALUES
    (9, 8, 1, '${JSON.stringify(stages)}', '${sha256Of('1')}', 'one', '${minute(6)}'),
    (12, 8, 2, '${JSON.stringify(stages.slice(1))}', '${sha256Of('2')}', 'two', '${minute(7)}');
  INSERT INTO sessions (id, song_id, date, sample_rate_hz, tempo_bpm, notes, pan_law, start_of_day_s, chain_sharing,
    shared_chain_version_id, created_at) VALUES
    (10, 7, '2026-11-25', 48000, 92.5, 'a' || char(10) || 'b', 'minus-3-db', 3600, 'own', NULL, '${minute(8)}'),
    (11, 7, '2026-11-26', 44100, NULL, '', 'minus-6-db', 7200, 'shared', 12, '${minute(9)}');
  INSERT INTO takes (id, sha256, name, path, container, encoding, sample_rate_hz, channels, frames,
    time_reference_samples, size_bytes, imported_at, voice_id, mic_id, curve_id, facts) VALUES
    (20, '${sha256Of('t')}', 'Refrão 01', 'takes/a b.wav', 'wav', 'pcm-24', 48000, 1, 480, 172800000, 1600,
     '${minute(10)}', 2, 4, 6, '${JSON.stringify(facts)}');
  INSERT INTO session_takes (session_id, take_id) VALUES (10, 20), (11, 20);
  INSERT INTO groups (id, session_id, name, chain_version_id, gain_db, position) VALUES
    (30, 10, 'Lead', 9, -1.5, 0), (31, 11, 'Lead', NULL, 0, 0);
  INSERT INTO layers (id, session_id, group_id, take_id, name, role, offset_samples, gain_db, pan, muted, position)
    VALUES (40, 10, 30, 20, 'Führung', 'lead', -2000000000, 0.1, -0.333, 1, 0);
  INSERT INTO bounces (id, session_id, manifest_path, manifest_sha256, stems, created_at)
    VALUES (50, 10, '/stems/Ночь/manifest.json', '${sha256Of('m')}', 1, '${minute(11)}');`

/** What versions up to 14 added. */
const AT_14 = `
  INSERT INTO sections (id, session_id, name, start_samples, length_samples, note)
    VALUES (60, 10, 'Verse', -100, 500, 'n'), (61, 10, 'Cue', 0, 0, '');
  INSERT INTO deliveries (id, session_id, number, folder, manifest_sha256, files, bytes, made_from, changes, created_at)
    VALUES (70, 10, 1, 'out/Song_v01', '${sha256Of('d1')}', 9, 12345, '{"program":"0.2.0"}', '[]', '${minute(12)}'),
      (71, 10, 2, 'out/Song_v02', '${sha256Of('d2')}', 9, 54321, '{}', '[]', '${minute(13)}');
  INSERT INTO take_checks (id, take_id, checked_at, size_bytes, modified_ns, result, is_news)
    VALUES (80, 20, '${minute(14)}', 1600, '1700000000000000000', 'rot', 1);
  INSERT INTO archives (id, act, session_uuid, artist_id, artist_name, song_title, path, takes, created_at)
    VALUES (90, 'archived', '01a0f755-f200-7b32-beb7-c72fa90c8281', 3, 'Zoë', 'S', '/bags/b', 1, '${minute(15)}');
  UPDATE layers SET gain_db = 0.2 WHERE id = 40;
  UPDATE artists SET note = 'changed' WHERE id = 3;`

/** A catalogue of a version with rows, and all of them. */
function filledAt(version: number) {
  const path = join(temporaryFolder(), 'catalogue.takeloft')
  const db = oldCatalogueAt(path, 10)
  db.exec(AT_10)
  if (version > 10) {
    migrate(db, migrations.slice(0, version))
    db.exec(AT_14)
    if (version >= 15) db.exec(`INSERT INTO chain_pins VALUES (12, '${minute(15)}')`)
  }
  const before = tablesOf(db)
  db.close()
  return { path, before }
}

/** Every row of every table is there with every value that it had; tables and columns may have been added. */
function expectAllKept(path: string, before: ReadonlyMap<string, Row[]>): Map<string, Row[]> {
  const raw = rawOn(path)
  const after = tablesOf(raw)
  expect(findDamagedRow(raw)).toBeNull()
  expect(raw.pragma('foreign_key_check')).toEqual([])
  raw.close()
  for (const [table, rows] of before) {
    const now = after.get(table) ?? []
    if (GROWING.has(table)) {
      expect(now, table).toEqual(expect.arrayContaining(rows.map((row) => expect.objectContaining(row))))
    } else {
      expect(now, table).toHaveLength(rows.length)
      for (const [k, row] of rows.entries()) expect(now[k], `${table} ${k}`).toMatchObject(row)
    }
  }
  return after
}
/** Migrations 013 and 016 add to these. */
const GROWING = new Set(['machines', 'dated_changes'])

describe('a catalogue of version 10', () => {
  it('has every row with every value, and can be used as one that was made new', () => {
    const { path, before } = filledAt(10)
    const catalogue = openForTest(path)
    const after = expectAllKept(path, before)
    // Nothing of the fixture is of an empty table.
    for (const table of ['artists', 'chain_versions', 'groups', 'layers', 'bounces', 'session_takes']) {
      expect(before.get(table)?.length, table).toBeGreaterThan(0)
    }
    for (const table of ['sections', 'deliveries', 'take_checks', 'archives', 'chain_pins', 'kept_states']) {
      expect(after.get(table), table).toEqual([])
    }
    expect(catalogue.takes.get(20)).toMatchObject({
      name: 'Refrão 01',
      facts,
      timeReferenceSamples: 172_800_000,
    })
    expect(catalogue.chains.version(12)).toMatchObject({ number: 2, stages: stages.slice(1), note: 'two' })
    expect(catalogue.sessions.get(11).sharedChainVersionId).toBe(12)
    expect(catalogue.layers.listOfSession(10)).toMatchObject([
      { id: 40, offsetSamples: -2_000_000_000, muted: true },
    ])
    expect(catalogue.bounces.list({ sessionId: 10 })).toMatchObject([{ id: 50, stems: 1 }])
    // Two artists of one name stay two.
    expect(
      catalogue.artists
        .list()
        .map(({ id }) => id)
        .sort(),
    ).toEqual([3, 5])
    expect(new Set([3, 5].map((id) => catalogue.identities.uuidOf('artists', id))).size).toBe(2)
    catalogue.sections.insert({ sessionId: 10, name: 'V', startSamples: 0, lengthSamples: 1, note: '' })
    expect(catalogue.identities.stampOf('sections', 10)).toBeDefined()
  })
})

describe('a catalogue of version 14', () => {
  it('has every row with every value, pins that can be set, and sections that are newer than their session', () => {
    const { path, before } = filledAt(14)
    const catalogue = openForTest(path)
    const after = expectAllKept(path, before)
    expect(after.get('chain_pins')).toEqual([])
    expect(after.get('deliveries')).toMatchObject([{ is_foreign: 0 }, { is_foreign: 0 }])
    expect(catalogue.sections.listOfSession(10)).toMatchObject([
      { id: 60, name: 'Verse' },
      { id: 61, name: 'Cue' },
    ])
    expect(catalogue.takeChecks.latestSound(20)).toBeUndefined()
    expect(catalogue.archives.listPaths()).toEqual(['/bags/b'])
    const stamp = catalogue.identities.stampOf('sections', 10)
    expect(stamp).toEqual({ at: minute(8).replace('.000Z', '.001Z'), machine: '', parents: [] })
    expect(catalogue.identities.stampOf('sections', 11)).toBeUndefined()
    // A change now names what it was made from.
    catalogue.sections.insert({ sessionId: 10, name: 'V', startSamples: 0, lengthSamples: 1, note: '' })
    expect(catalogue.identities.stampOf('sections', 10)?.parents).toEqual([{ at: stamp!.at, machine: '' }])
    // Ids go on where they were, so that nothing that was removed comes back as something else.
    const raw = rawOn(path)
    raw.exec(
      `INSERT INTO deliveries (session_id, number, folder, manifest_sha256, files, bytes, made_from, changes, created_at)
       VALUES (10, 2, 'x', '${sha256Of('d3')}', 1, 1, '{}', '[]', '${minute(16)}')`,
    )
    expect(raw.prepare('SELECT max(id) FROM deliveries').pluck().get()).toBe(72)
    raw.close()
  })
})

describe('a catalogue of version 17', () => {
  it('has every row with every value, and its pins go to other computers', () => {
    const { path, before } = filledAt(17)
    const catalogue = openForTest(path)
    expectAllKept(path, before)
    expect(catalogue.voiceHistory.pins(2)).toEqual([12])
    expect(catalogue.identities.stampOf('pins', 12)).toEqual({
      at: minute(7).replace('.000Z', '.001Z'),
      machine: '',
      parents: [],
    })
    expect(catalogue.identities.stampOf('pins', 9)).toBeUndefined()
  })
})
