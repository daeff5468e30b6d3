// Bounces of sessions, each with the manifest that can verify it.

import type { Database } from 'better-sqlite3'
import type { BounceRecord } from '../../app/contract/entities.ts'
import { found } from './found.ts'
import { insertedId } from './inserted-id.ts'

export type NewBounce = Pick<BounceRecord, 'sessionId' | 'manifestPath' | 'manifestSha256' | 'stems'> &
  Partial<Pick<BounceRecord, 'part'>>
/** Of one session, or of one artist; of all when neither is given. */
export type BounceRequest = {
  readonly sessionId?: number | undefined
  readonly artistId?: number | undefined
}
export type BounceQueries = ReturnType<typeof bounceQueries>

const SELECT = `
  SELECT bounces.id, session_id AS sessionId, songs.title AS songTitle, artists.name AS artistName,
    manifest_path AS manifestPath, manifest_sha256 AS manifestSha256, stems, part,
    bounces.created_at AS createdAt
  FROM bounces
  JOIN sessions ON sessions.id = bounces.session_id
  JOIN songs ON songs.id = sessions.song_id
  JOIN artists ON artists.id = songs.artist_id`

export function bounceQueries(db: Database) {
  const newestFirst = 'ORDER BY bounces.created_at DESC, bounces.id DESC'
  const all = db.prepare<[], BounceRecord>(`${SELECT} ${newestFirst}`)
  const ofSession = db.prepare<[number], BounceRecord>(`${SELECT} WHERE session_id = ? ${newestFirst}`)
  const ofArtist = db.prepare<[number], BounceRecord>(`${SELECT} WHERE songs.artist_id = ? ${newestFirst}`)
  const one = db.prepare<[number], BounceRecord>(`${SELECT} WHERE bounces.id = ?`)
  const add = db.prepare<[Required<NewBounce> & { at: string }]>(
    `INSERT INTO bounces (session_id, manifest_path, manifest_sha256, stems, part, created_at)
       VALUES (@sessionId, @manifestPath, @manifestSha256, @stems, @part, @at)`,
  )

  const get = (id: number): BounceRecord => found(one.get(id), 'bounce', id)

  return {
    /** Newest first. */
    list({ sessionId, artistId }: BounceRequest = {}): BounceRecord[] {
      if (sessionId !== undefined) return ofSession.all(sessionId)
      return artistId === undefined ? all.all() : ofArtist.all(artistId)
    },
    get,
    insert: (fields: NewBounce, at: string): BounceRecord =>
      get(insertedId(add, { part: '', ...fields, at })),
  }
}
