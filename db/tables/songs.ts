// Songs of an artist, each title once.

import type { Database } from 'better-sqlite3'
import type { Song } from '../../app/contract/entities.ts'
import { found } from './found.ts'
import { insertedId } from './inserted-id.ts'

export type NewSong = Omit<Song, 'id'>
export type SongQueries = ReturnType<typeof songQueries>

const SELECT = 'SELECT id, artist_id AS artistId, title FROM songs'

export function songQueries(db: Database) {
  const all = db.prepare<[], Song>(`${SELECT} ORDER BY id DESC`)
  const ofArtist = db.prepare<[number], Song>(`${SELECT} WHERE artist_id = ? ORDER BY id DESC`)
  const one = db.prepare<[number], Song>(`${SELECT} WHERE id = ?`)
  const titled = db.prepare<[number, string], Song>(`${SELECT} WHERE artist_id = ? AND title = ?`)
  const add = db.prepare<[NewSong & { at: string }]>(
    'INSERT INTO songs (uuid, artist_id, title, created_at) VALUES (uuid7(@at), @artistId, @title, @at)',
  )

  const change = db.prepare<[{ id: number; title: string }]>('UPDATE songs SET title = @title WHERE id = @id')

  const get = (id: number): Song => found(one.get(id), 'song', id)

  return {
    get,
    /** Newest first. */
    list: (artistId?: number): Song[] => (artistId === undefined ? all.all() : ofArtist.all(artistId)),
    /** @throws Failure `conflict` when the artist has a song of that title */
    insert: (fields: NewSong, at: string): Song => get(insertedId(add, { ...fields, at })),
    /** @throws Failure `conflict` when the artist has a song of that title */
    retitle(id: number, title: string): void {
      change.run({ id, title })
    },
    findByTitle: (artistId: number, title: string): Song | undefined => titled.get(artistId, title),
  }
}
