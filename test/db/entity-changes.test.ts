// Artists, voices, songs and sessions are renamed, merged and removed, and reverting gives back exactly the
// rows that were there, by SQLite's own reading of the file. The numbers of rows are counted by hand.

import { join } from 'node:path'
import { expect, it } from 'vitest'
import { findDamagedRow } from '../../db/care/row-hashes.ts'
import { fill, minute, newSession, newTake, sha256Of, stages } from './entries.ts'
import { oldCatalogueAt } from './old-catalogue.ts'
import { failureOf, openForTest } from './open-for-test.ts'
import { rawOn } from './raw-connection.ts'
import { temporaryFolder } from './temporary-folder.ts'

/** Two spellings of one artist: each with a voice, a chain, a song of one title and one of its own. */
function twice() {
  const path = join(temporaryFolder(), 'catalogue.takeloft')
  const catalogue = openForTest(path)
  const made = fill(catalogue)
  const artist = catalogue.artists.insert({ name: 'Zoe Angstrom', note: 'on tour' }, minute(9))
  const voice = catalogue.voices.insert({ artistId: artist.id, name: 'sung', note: '' }, minute(9))
  const same = catalogue.songs.insert({ artistId: artist.id, title: made.song.title }, minute(9))
  const other = catalogue.songs.insert({ artistId: artist.id, title: 'Other' }, minute(9))
  const sessions = [same, other].map((song) => catalogue.sessions.insert(newSession(song.id), minute(10)))
  const take = catalogue.takes.insert(newTake('second', { voiceId: voice.id }))
  catalogue.takes.linkToSession(sessions[0]!.id, take.id)
  const chain = catalogue.chains.insert({ voiceId: voice.id, name: 'Sung' }, minute(11))
  catalogue.chains.insertVersion({ chainId: chain.id, stages, sha256: sha256Of('x'), note: '' }, minute(11))
  return { path, catalogue, made, artist, voice, same, other, sessions, take, chain }
}

/** Every row of every table that holds entries; without the dates of changes, of which a revert is one. */
function rowsOf(path: string): Record<string, unknown[]> {
  const db = rawOn(path)
  const tables = db
    .prepare<[], string>(
      `SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%' AND name NOT LIKE 'takes_search%' AND name <> 'dated_changes'`,
    )
    .pluck()
    .all()
  const rows = Object.fromEntries(
    tables.map((name) => [
      name,
      db
        .prepare(
          `SELECT * FROM ${name}${name === 'row_hashes' ? " WHERE subject <> 'dated_changes'" : ''} ORDER BY 1, 2`,
        )
        .all(),
    ]),
  )
  expect(findDamagedRow(db)).toBeNull()
  db.close()
  return rows
}

it('merges two spellings of an artist, with songs of one title, and reverts to exactly the rows before', () => {
  const { path, catalogue, made, artist, voice, same, other, sessions, take } = twice()
  const before = rowsOf(path)
  const changeId = catalogue.entityChanges.merge('artist', artist.id, made.artist.id, minute(20))

  expect(catalogue.artists.list()).toEqual([{ ...made.artist, note: `${made.artist.note}\non tour` }])
  expect(
    catalogue.voices
      .list(made.artist.id)
      .map(({ id }) => id)
      .sort(),
  ).toEqual([made.voice.id, voice.id].sort())
  expect(catalogue.songs.list().map(({ id, artistId }) => [id, artistId])).toEqual([
    [other.id, made.artist.id],
    [made.song.id, made.artist.id],
  ])
  expect(sessions.map(({ id }) => catalogue.sessions.get(id).songId)).toEqual([made.song.id, other.id])
  expect(catalogue.takes.get(take.id).voiceId).toBe(voice.id)
  expect(catalogue.ledger.list({ artistId: made.artist.id, limit: 100 })[0]).toMatchObject({
    kind: 'entity-changed',
    change: 'merged',
    entity: 'artist',
    name: 'Zoe Angstrom',
    otherName: made.artist.name,
  })
  expect(rowsOf(path)).not.toEqual(before)

  catalogue.entityChanges.revert(changeId)
  expect(rowsOf(path)).toEqual(before)
  expect(same.artistId).toBe(artist.id)
})

it('merges two voices of one artist with their takes and chains, and two songs with their sessions', () => {
  const { path, catalogue, made, artist, voice, sessions, same, other, take, chain } = twice()
  const second = catalogue.voices.insert({ artistId: artist.id, name: 'Sung', note: 'close' }, minute(12))
  const before = rowsOf(path)
  const first = catalogue.entityChanges.merge('voice', voice.id, second.id, minute(20))
  expect(catalogue.takes.get(take.id).voiceId).toBe(second.id)
  expect(catalogue.chains.get(chain.id).voiceId).toBe(second.id)
  const next = catalogue.entityChanges.merge('song', same.id, other.id, minute(21))
  expect(sessions.map(({ id }) => catalogue.sessions.get(id).songId)).toEqual([other.id, other.id])
  catalogue.entityChanges.revert(next)
  catalogue.entityChanges.revert(first)
  expect(rowsOf(path)).toEqual(before)

  const failure = failureOf(() => catalogue.entityChanges.merge('voice', voice.id, made.voice.id, minute(22)))
  expect(failure.code).toBe('conflict')
  expect(failure.message).toContain('merge the artists first')
})

it('renames, and refuses a title that the artist has already', () => {
  const { path, catalogue, same, other } = twice()
  const before = rowsOf(path)
  const changeId = catalogue.entityChanges.rename('song', other.id, 'Another', minute(20))
  expect(catalogue.songs.list().find(({ id }) => id === other.id)!.title).toBe('Another')
  expect(
    failureOf(() => catalogue.entityChanges.rename('song', same.id, 'Another', minute(21))).message,
  ).toMatch(/already has a song “Another”/)
  catalogue.entityChanges.revert(changeId)
  expect(rowsOf(path)).toEqual(before)
})

it('removes only what nothing depends on, and says what does with counts', () => {
  const { path, catalogue, artist, voice, same, other, sessions } = twice()
  const whyNot = (
    ...asked: Parameters<typeof catalogue.entityChanges.remove> extends [...infer R, string] ? R : never
  ) => failureOf(() => catalogue.entityChanges.remove(...asked, minute(20))).message
  expect(whyNot('artist', artist.id)).toContain('has 1 voice and 2 songs')
  expect(whyNot('voice', voice.id)).toContain('has 1 take and 1 chain')
  expect(whyNot('song', same.id)).toContain('has 1 session')
  expect(whyNot('session', sessions[0]!.id)).toContain('has 1 take, so')

  const before = rowsOf(path)
  catalogue.groups.insert({ sessionId: sessions[1]!.id, name: 'Lead', chainVersionId: null, gainDb: 0.1 })
  const withGroup = rowsOf(path)
  const session = catalogue.entityChanges.remove('session', sessions[1]!.id, minute(21))
  const song = catalogue.entityChanges.remove('song', other.id, minute(22))
  expect(catalogue.sessions.list().map(({ id }) => id)).not.toContain(sessions[1]!.id)
  catalogue.entityChanges.revert(song)
  catalogue.entityChanges.revert(session)
  expect(rowsOf(path)).toEqual(withGroup)
  expect(withGroup).not.toEqual(before)
})

it('leaves a value that was changed again after the merge', () => {
  const { catalogue, made, artist, voice, take } = twice()
  const changeId = catalogue.entityChanges.merge(
    'voice',
    voice.id,
    catalogue.voices.insert({ artistId: artist.id, name: 'x', note: '' }, minute(12)).id,
    minute(20),
  )
  catalogue.takes.update(take.id, { voiceId: made.voice.id })
  catalogue.entityChanges.revert(changeId)
  expect(catalogue.takes.get(take.id).voiceId).toBe(made.voice.id)
})

it('counts what depends on each', () => {
  const { catalogue, voice, sessions } = twice()
  const { voices, sessions: counted } = catalogue.entityChanges.overview(catalogue.sessions.list())
  expect(voices.find(({ id }) => id === voice.id)).toMatchObject({ takes: 1, chains: 1 })
  expect(counted.find(({ id }) => id === sessions[0]!.id)).toMatchObject({ takes: 1, layers: 0, bounces: 0 })
})

it('a catalogue of the version before opens, with quarter notes and no tempo changes', () => {
  const path = join(temporaryFolder(), 'catalogue.takeloft')
  const db = oldCatalogueAt(path, 6)
  db.exec(`
    INSERT INTO artists (name, note, created_at) VALUES ('A', '', '${minute(0)}');
    INSERT INTO songs (artist_id, title, created_at) VALUES (1, 'S', '${minute(0)}');
    INSERT INTO sessions (song_id, date, sample_rate_hz, tempo_bpm, notes, pan_law, start_of_day_s, chain_sharing, created_at)
      VALUES (1, '2026-11-25', 48000, 90, '', 'minus-3-db', 3600, 'own', '${minute(0)}')`)
  db.close()
  const [session] = openForTest(path).sessions.list()
  expect(session).toMatchObject({ tempoBpm: 90, beatsPerBar: 4, beatUnit: 4, tempoChanges: [], takes: 0 })
  expect(session!.createdAt).toBe(minute(0))
  const changes = [{ bar: 9, tempoBpm: 120.5, beatsPerBar: 6, beatUnit: 8 as const }]
  const catalogue = openForTest(path)
  catalogue.sessions.update(session!.id, { tempoChanges: changes, beatUnit: 8 })
  expect(openForTest(path).sessions.get(session!.id)).toMatchObject({ tempoChanges: changes, beatUnit: 8 })
})
