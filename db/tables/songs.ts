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

  return {
    /** Newest first. */
    list: (artistId?: number): Song[] => (artistId === undefined ? all.all() : ofArtist.all(artistId)),
    /** @throws Failure `conflict` when the artist has a song of that title */
    insert(fields: NewSong, at: string): Song {
      const id = insertedId(add, { ...fields, at })
      return found(one.get(id), 'song', id)
    },
    findByTitle: (artistId: number, title: string): Song | undefined => titled.get(artistId, title),
  }
}
