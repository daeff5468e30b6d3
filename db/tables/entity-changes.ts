// Renames, merges and removes artists, voices, songs and sessions. Each change keeps the rows it replaced,
// so that reverting it gives back exactly those.

import type { Database } from 'better-sqlite3'
import type { Artist, ListedSession, Song, Voice } from '../../app/contract/entities.ts'
import {
  type EntityKind,
  type NamedEntityKind,
  type PeopleAndSongs,
  RowsBefore,
} from '../../app/contract/entity-changes.ts'
import { Failure } from '../../app/contract/failure.ts'
import { MAX_NOTE } from '../../app/contract/text/limits.ts'
import { byName } from './by-name.ts'
import { found } from './found.ts'
import { readStored } from './stored-json.ts'

export type EntityChangeQueries = ReturnType<typeof entityChangeQueries>

type Table = RowsBefore['changed'][number]['table']
type Column = RowsBefore['changed'][number]['column']
type Named = 'artists' | 'voices' | 'songs'
type Values = RowsBefore['removed'][number]['values']

const TABLES = { artist: 'artists', voice: 'voices', song: 'songs', session: 'sessions' } as const
const NAME_COLUMNS = { artist: 'name', voice: 'name', song: 'title' } as const

/** What depends on an entity: singular, plural, and how to count it. */
const DEPENDENTS: Readonly<Record<EntityKind, readonly (readonly [string, string, string])[]>> = {
  artist: [
    ['voice', 'voices', 'SELECT count(*) FROM voices WHERE artist_id = ?'],
    ['song', 'songs', 'SELECT count(*) FROM songs WHERE artist_id = ?'],
  ],
  voice: [
    ['take', 'takes', 'SELECT count(*) FROM takes WHERE voice_id = ?'],
    ['chain', 'chains', 'SELECT count(*) FROM chains WHERE voice_id = ?'],
  ],
  song: [['session', 'sessions', 'SELECT count(*) FROM sessions WHERE song_id = ?']],
  session: [
    ['take', 'takes', 'SELECT count(*) FROM session_takes WHERE session_id = ?'],
    ['layer', 'layers', 'SELECT count(*) FROM layers WHERE session_id = ?'],
    ['bounce', 'bounces', 'SELECT count(*) FROM bounces WHERE session_id = ?'],
    ['delivery', 'deliveries', 'SELECT count(*) FROM deliveries WHERE session_id = ?'],
  ],
}

/** What to do first with the dependents of an entity. */
const WAYS_OUT: Readonly<Record<EntityKind, string>> = {
  artist: 'merge the artist into another, or remove those first',
  voice: 'merge the voice into another, or give those to another voice first',
  song: 'merge the song into another, or remove those first',
  session:
    'it is part of the history; take the layers and takes out first, and a session with a bounce or a delivery stays',
}

interface Owner {
  readonly artistId: number
  readonly artistName: string
  readonly name: string
  readonly sessionId: number | null
}

const OWNERS: Readonly<Record<EntityKind, string>> = {
  artist: 'SELECT id AS artistId, name AS artistName, name, NULL AS sessionId FROM artists WHERE id = ?',
  voice: `SELECT artists.id AS artistId, artists.name AS artistName, voices.name, NULL AS sessionId
    FROM voices JOIN artists ON artists.id = voices.artist_id WHERE voices.id = ?`,
  song: `SELECT artists.id AS artistId, artists.name AS artistName, songs.title AS name, NULL AS sessionId
    FROM songs JOIN artists ON artists.id = songs.artist_id WHERE songs.id = ?`,
  session: `SELECT artists.id AS artistId, artists.name AS artistName, songs.title || ', ' || date AS name,
      sessions.id AS sessionId
    FROM sessions JOIN songs ON songs.id = song_id JOIN artists ON artists.id = songs.artist_id
    WHERE sessions.id = ?`,
}

export function entityChangeQueries(db: Database) {
  const artists = db.prepare<[], Artist>('SELECT id, name, note FROM artists')
  const voices = db.prepare<[], Voice & { takes: number; chains: number }>(
    `SELECT id, artist_id AS artistId, name, note,
       (SELECT count(*) FROM takes WHERE voice_id = voices.id) AS takes,
       (SELECT count(*) FROM chains WHERE voice_id = voices.id) AS chains
     FROM voices`,
  )
  const songs = db.prepare<[], Song>('SELECT id, artist_id AS artistId, title FROM songs')
  const sessionCounts = db.prepare<[], { id: number; layers: number; bounces: number }>(
    `SELECT id, (SELECT count(*) FROM layers WHERE session_id = sessions.id) AS layers,
       (SELECT count(*) FROM bounces WHERE session_id = sessions.id) AS bounces
     FROM sessions`,
  )
  const note = db.prepare<[Omit<Row, 'id'> & { at: string }]>(
    `INSERT INTO entity_changes (kind, entity, artist_id, session_id, artist_name, name, other_name, before, created_at)
       VALUES (@kind, @entity, @artistId, @sessionId, @artistName, @name, @otherName, @before, @at)`,
  )
  const one = db.prepare<[number], { before: string }>('SELECT before FROM entity_changes WHERE id = ?')
  const forget = db.prepare<[number]>('DELETE FROM entity_changes WHERE id = ?')
  const owners = mapKinds((kind) => db.prepare<[number], Owner>(OWNERS[kind]))
  const counts = mapKinds((kind) =>
    DEPENDENTS[kind].map(
      ([singular, plural, sql]) => [singular, plural, db.prepare<[number], number>(sql).pluck()] as const,
    ),
  )
  const titled = db
    .prepare<[number, string], number>('SELECT id FROM songs WHERE artist_id = ? AND title = ?')
    .pluck()

  const inside = (['chain_drafts', 'sections'] as const).map(
    (table) => [table, db.prepare<[number], Values>(`SELECT * FROM ${table} WHERE session_id = ?`)] as const,
  )
  // A removed row leaves its identity behind, see the migration 013.
  const joinRow = db.prepare<[{ table: Named; id: number; intoId: number }]>(
    `UPDATE other_identities SET row_id = @intoId, standing = 'joined'
     WHERE of_table = @table AND row_id = @id AND standing = 'removed'`,
  )
  const joinAlso = db.prepare<[{ table: Named; id: number; intoId: number }]>(
    `UPDATE other_identities SET row_id = @intoId
     WHERE of_table = @table AND row_id = @id AND standing = 'joined'`,
  )
  const newUuid = db.prepare<[], string>('SELECT uuid7(NULL)').pluck()

  const ownerOf = (kind: EntityKind, id: number): Owner => found(owners[kind].get(id), kind, id)
  const rowOf = (table: string, id: number): Values =>
    db.prepare<[number], Values>(`SELECT * FROM ${table} WHERE id = ?`).get(id) ?? {}
  const idsWhere = (table: string, column: string, value: number): number[] =>
    db.prepare<[number], number>(`SELECT id FROM ${table} WHERE ${column} = ? ORDER BY id`).pluck().all(value)

  /** Writes to some rows of a table, and notes what they had. */
  function set(
    before: RowsBefore,
    table: Table,
    column: Column,
    ids: readonly number[],
    from: string | number,
    to: string | number,
  ): void {
    if (ids.length === 0 || from === to) return
    const change = db.prepare(`UPDATE ${table} SET ${column} = ? WHERE id = ?`)
    for (const id of ids) change.run(to, id)
    before.changed.push({ table, column, ids: [...ids], from, to })
  }

  /** From now on, what other computers know under the identity of a merged entity is the other one. */
  function join(table: Named, id: number, intoId: number): void {
    joinRow.run({ table, id, intoId })
    joinAlso.run({ table, id, intoId })
  }

  function drop(before: RowsBefore, table: RowsBefore['removed'][number]['table'], id: number): void {
    // The rows of an outer entity are put back before those inside of it.
    before.removed.unshift({ table, values: rowOf(table, id) })
    db.prepare(`DELETE FROM ${table} WHERE id = ?`).run(id)
  }

  function record(
    kind: Row['kind'],
    entity: EntityKind,
    { artistId, artistName, name, sessionId }: Owner,
    otherName: string,
    before: RowsBefore,
    at: string,
  ): number {
    const fields = { kind, entity, artistId, artistName, name, sessionId, otherName, at }
    return Number(note.run({ ...fields, before: JSON.stringify(before) }).lastInsertRowid)
  }

  const rename = db.transaction((kind: NamedEntityKind, id: number, name: string, at: string): number => {
    const owner = ownerOf(kind, id)
    if (kind === 'song' && (titled.get(owner.artistId, name) ?? id) !== id) {
      throw new Failure(
        'conflict',
        `${owner.artistName} already has a song “${name}”; merge the two songs instead.`,
        { id },
      )
    }
    const before: RowsBefore = { removed: [], changed: [] }
    set(before, TABLES[kind], NAME_COLUMNS[kind], [id], owner.name, name)
    return record('renamed', kind, owner, name, before, at)
  })

  /** Moves everything of one voice to another, and removes it. */
  function mergeVoices(before: RowsBefore, id: number, intoId: number): void {
    set(before, 'takes', 'voice_id', idsWhere('takes', 'voice_id', id), id, intoId)
    set(before, 'chains', 'voice_id', idsWhere('chains', 'voice_id', id), id, intoId)
    mergeNotes(before, 'voices', id, intoId)
    drop(before, 'voices', id)
    join('voices', id, intoId)
  }

  function mergeSongs(before: RowsBefore, id: number, intoId: number): void {
    set(before, 'sessions', 'song_id', idsWhere('sessions', 'song_id', id), id, intoId)
    drop(before, 'songs', id)
    join('songs', id, intoId)
  }

  function mergeNotes(before: RowsBefore, table: 'artists' | 'voices', id: number, intoId: number): void {
    const [added, kept] = [rowOf(table, id).note, rowOf(table, intoId).note].map(String)
    if (added === '' || added === kept) return
    const both = kept === '' ? added! : `${kept}\n${added}`
    if (both.length > MAX_NOTE) {
      throw new Failure('conflict', 'The notes of both together are too long; shorten one of them first.')
    }
    set(before, table, 'note', [intoId], kept!, both)
  }

  const merge = db.transaction((kind: NamedEntityKind, id: number, intoId: number, at: string): number => {
    const [owner, into] = [ownerOf(kind, id), ownerOf(kind, intoId)]
    if (id === intoId) throw new Failure('conflict', `Choose another ${kind} to merge “${owner.name}” into.`)
    if (kind !== 'artist' && owner.artistId !== into.artistId) {
      throw new Failure(
        'conflict',
        `“${owner.name}” is a ${kind} of ${owner.artistName}, and “${into.name}” one of ${into.artistName}; merge the artists first if they are one person.`,
        { id, intoId },
      )
    }
    const before: RowsBefore = { removed: [], changed: [] }
    if (kind === 'voice') mergeVoices(before, id, intoId)
    else if (kind === 'song') mergeSongs(before, id, intoId)
    else {
      // Songs of one title become one, because an artist has each title once; voices stay apart, since only
      // the engineer knows whether two of one name sound the same.
      for (const songId of idsWhere('songs', 'artist_id', id)) {
        const same = titled.get(intoId, ownerOf('song', songId).name)
        if (same === undefined) set(before, 'songs', 'artist_id', [songId], id, intoId)
        else mergeSongs(before, songId, same)
      }
      set(before, 'voices', 'artist_id', idsWhere('voices', 'artist_id', id), id, intoId)
      mergeNotes(before, 'artists', id, intoId)
      drop(before, 'artists', id)
      join('artists', id, intoId)
    }
    return record('merged', kind, { ...owner, artistId: into.artistId }, into.name, before, at)
  })

  const remove = db.transaction((kind: EntityKind, id: number, at: string): number => {
    const owner = ownerOf(kind, id)
    const depends = counts[kind].flatMap(([singular, plural, count]) => {
      const n = count.get(id)!
      return n === 0 ? [] : [`${n} ${n === 1 ? singular : plural}`]
    })
    if (depends.length > 0) {
      throw new Failure(
        'conflict',
        `The ${kind} “${owner.name}” has ${listed(depends)}, so it cannot be removed; ${WAYS_OUT[kind]}.`,
        { id },
      )
    }
    const before: RowsBefore = { removed: [], changed: [] }
    if (kind === 'session') {
      // The drafts of a session are deleted with it, those of its groups too; and so are its sections.
      for (const [table, rows] of inside) {
        for (const values of rows.all(id)) before.removed.unshift({ table, values })
      }
      // The empty groups of a session go with it.
      for (const groupId of idsWhere('groups', 'session_id', id).toReversed()) drop(before, 'groups', groupId)
    }
    drop(before, TABLES[kind], id)
    return record('removed', kind, owner, '', before, at)
  })

  const revert = db.transaction((changeId: number): void => {
    const { before } = found(one.get(changeId), 'change', changeId)
    const { removed, changed } = readStored(RowsBefore, before, `what change ${changeId} replaced`)
    for (const { table, values: stored } of removed) {
      const hasIdentity = table !== 'chain_drafts' && table !== 'sections'
      const values = !hasIdentity || 'uuid' in stored ? stored : { ...stored, uuid: newUuid.get()! }
      const columns = Object.keys(values)
      db.prepare(
        `INSERT INTO ${table} (${columns.map((name) => `"${name}"`).join()}) VALUES (${columns.map(() => '?').join()})`,
      ).run(...Object.values(values))
    }
    for (const { table, column, ids, from, to } of changed.toReversed()) {
      // Rows that were changed again since keep their newer value.
      const back = db.prepare(`UPDATE ${table} SET ${column} = ? WHERE id = ? AND ${column} = ?`)
      for (const id of ids) back.run(from, id, to)
    }
    forget.run(changeId)
  })

  return {
    /** Artists, voices and songs by name, with what depends on each; `sessions` as listed elsewhere. */
    overview(sessions: readonly ListedSession[]): PeopleAndSongs {
      const uses = new Map(sessionCounts.all().map((row) => [row.id, row]))
      return {
        artists: artists.all().sort(byName),
        voices: voices.all().sort(byName),
        songs: songs.all().sort((a, b) => byName({ ...a, name: a.title }, { ...b, name: b.title })),
        sessions: sessions.map((session) => ({
          ...session,
          layers: uses.get(session.id)?.layers ?? 0,
          bounces: uses.get(session.id)?.bounces ?? 0,
        })),
      }
    },
    /** @returns id of the change; @throws Failure `conflict` if the artist has a song of that title */
    rename: (kind: NamedEntityKind, id: number, name: string, at: string): number =>
      rename.immediate(kind, id, name, at),
    /**
     * Moves everything of one entity to another and removes it; notes are joined.
     * @returns id of the change
     * @throws Failure `conflict` for voices or songs of two artists
     */
    merge: (kind: NamedEntityKind, id: number, intoId: number, at: string): number =>
      merge.immediate(kind, id, intoId, at),
    /** @returns id of the change; @throws Failure `conflict` with counts while something depends on it */
    remove: (kind: EntityKind, id: number, at: string): number => remove.immediate(kind, id, at),
    /** Writes the rows before a change back, and removes its line from the ledger. */
    revert: (changeId: number): void => revert.immediate(changeId),
  }
}

interface Row {
  readonly id: number
  readonly kind: 'renamed' | 'merged' | 'removed'
  readonly entity: EntityKind
  readonly artistId: number
  readonly sessionId: number | null
  readonly artistName: string
  readonly name: string
  readonly otherName: string
  readonly before: string
}

const mapKinds = <T>(make: (kind: EntityKind) => T): Readonly<Record<EntityKind, T>> => ({
  artist: make('artist'),
  voice: make('voice'),
  song: make('song'),
  session: make('session'),
})

/** '1 voice', '1 voice and 2 songs', '1 take, 2 layers and 1 bounce'. */
const listed = (parts: readonly string[]): string =>
  parts.length === 1 ? parts[0]! : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`
