// Sessions: one day's work on a song.

import type { Database } from 'better-sqlite3'
import type { Session } from '../../app/contract/entities.ts'
import { type Changes, changed } from './changes.ts'
import { found } from './found.ts'
import { insertedId } from './inserted-id.ts'

export type NewSession = Omit<Session, 'id' | 'artistId' | 'artistName' | 'songTitle'>
/** A session keeps its song and its rate: the offsets of its layers are counted in that rate. */
export type SessionChanges = Changes<Omit<NewSession, 'songId' | 'sampleRateHz'>>
export type SessionQueries = ReturnType<typeof sessionQueries>

const SELECT = `
  SELECT sessions.id, song_id AS songId, artist_id AS artistId, artists.name AS artistName,
    songs.title AS songTitle, date, sample_rate_hz AS sampleRateHz, tempo_bpm AS tempoBpm,
    beats_per_bar AS beatsPerBar, notes,
    pan_law AS panLaw, start_of_day_s AS startOfDayS, chain_sharing AS chainSharing,
    shared_chain_version_id AS sharedChainVersionId
  FROM sessions
  JOIN songs ON songs.id = sessions.song_id
  JOIN artists ON artists.id = songs.artist_id`

export function sessionQueries(db: Database) {
  const all = db.prepare<[], Session>(`${SELECT} ORDER BY date DESC, sessions.id DESC`)
  const one = db.prepare<[number], Session>(`${SELECT} WHERE sessions.id = ?`)
  const add = db.prepare<[NewSession & { at: string }]>(
    `INSERT INTO sessions (song_id, date, sample_rate_hz, tempo_bpm, beats_per_bar, notes, pan_law, start_of_day_s,
         chain_sharing, shared_chain_version_id, created_at)
       VALUES (@songId, @date, @sampleRateHz, @tempoBpm, @beatsPerBar, @notes, @panLaw, @startOfDayS,
         @chainSharing, @sharedChainVersionId, @at)`,
  )
  const change = db.prepare<[Session]>(
    `UPDATE sessions SET date = @date, tempo_bpm = @tempoBpm, beats_per_bar = @beatsPerBar, notes = @notes, pan_law = @panLaw,
       start_of_day_s = @startOfDayS, chain_sharing = @chainSharing,
       shared_chain_version_id = @sharedChainVersionId
     WHERE id = @id`,
  )

  const get = (id: number): Session => found(one.get(id), 'session', id)
  const update = db.transaction((id: number, changes: SessionChanges): Session => {
    change.run(changed(get(id), changes))
    return get(id)
  })

  return {
    /** Newest first. */
    list: (): Session[] => all.all(),
    get,
    insert: (fields: NewSession, at: string): Session => get(insertedId(add, { ...fields, at })),
    update: (id: number, changes: SessionChanges): Session => update.immediate(id, changes),
  }
}
