// Sessions: one day's work on a song.

import type { Database } from 'better-sqlite3'
import { type ListedSession, Session } from '../../app/contract/entities.ts'
import { type Changes, changed } from './changes.ts'
import { found } from './found.ts'
import { insertedId } from './inserted-id.ts'
import { readStored } from './stored-json.ts'

export type NewSession = Omit<Session, 'id' | 'artistId' | 'artistName' | 'songTitle'>
/** A session keeps its song and its rate: the offsets of its layers are counted in that rate. */
export type SessionChanges = Changes<Omit<NewSession, 'songId' | 'sampleRateHz'>>
export type SessionQueries = ReturnType<typeof sessionQueries>

type Stored<S extends Session> = Omit<S, 'tempoChanges'> & { readonly tempoChanges: string }

const COLUMNS = `sessions.id, song_id AS songId, artist_id AS artistId, artists.name AS artistName,
    songs.title AS songTitle, date, sample_rate_hz AS sampleRateHz, tempo_bpm AS tempoBpm,
    beats_per_bar AS beatsPerBar, beat_unit AS beatUnit, tempo_changes AS tempoChanges, notes,
    pan_law AS panLaw, start_of_day_s AS startOfDayS, chain_sharing AS chainSharing,
    shared_chain_version_id AS sharedChainVersionId`
const FROM = `
  FROM sessions
  JOIN songs ON songs.id = sessions.song_id
  JOIN artists ON artists.id = songs.artist_id`
const SELECT = `SELECT ${COLUMNS}${FROM}`

const sessionOf = <S extends Session>(row: Stored<S>) => ({
  ...row,
  tempoChanges: readStored(
    Session.shape.tempoChanges,
    row.tempoChanges,
    `the tempo changes of session ${row.id}`,
  ),
})

export function sessionQueries(db: Database) {
  const all = db.prepare<[], Stored<ListedSession>>(
    `SELECT ${COLUMNS}, sessions.created_at AS createdAt,
       (SELECT count(*) FROM session_takes WHERE session_id = sessions.id) AS takes
     ${FROM} ORDER BY date DESC, sessions.id DESC`,
  )
  const earlier = (which: string) =>
    db.prepare<[{ id: number }], Stored<ListedSession>>(
      `SELECT ${COLUMNS}, sessions.created_at AS createdAt,
         (SELECT count(*) FROM session_takes WHERE session_id = sessions.id) AS takes
       ${FROM} WHERE sessions.id IN (${which})
         AND (date, sessions.id) < (SELECT date, id FROM sessions WHERE id = @id)
         AND (shared_chain_version_id IS NOT NULL OR EXISTS (
           SELECT 1 FROM groups WHERE session_id = sessions.id AND chain_version_id IS NOT NULL))
       ORDER BY date DESC, sessions.id DESC`,
    )
  const earlierOfVoices = earlier(`
    SELECT session_id FROM session_takes WHERE take_id IN (
      SELECT id FROM takes WHERE voice_id IN (
        SELECT voice_id FROM session_takes JOIN takes ON takes.id = take_id WHERE session_id = @id))`)
  const earlierOfArtist = earlier(`
    SELECT other.id FROM sessions AS this JOIN songs ON songs.id = this.song_id
    JOIN songs AS own ON own.artist_id = songs.artist_id
    JOIN sessions AS other ON other.song_id = own.id WHERE this.id = @id`)
  const hasVoice = db
    .prepare<[number], number>(
      `SELECT 1 FROM session_takes JOIN takes ON takes.id = take_id
       WHERE session_id = ? AND voice_id IS NOT NULL LIMIT 1`,
    )
    .pluck()
  const one = db.prepare<[number], Stored<Session>>(`${SELECT} WHERE sessions.id = ?`)
  const add = db.prepare<[Omit<NewSession, 'tempoChanges'> & { tempoChanges: string; at: string }]>(
    `INSERT INTO sessions (uuid, song_id, date, sample_rate_hz, tempo_bpm, beats_per_bar, beat_unit, tempo_changes,
         notes, pan_law, start_of_day_s, chain_sharing, shared_chain_version_id, created_at)
       VALUES (uuid7(@at), @songId, @date, @sampleRateHz, @tempoBpm, @beatsPerBar, @beatUnit, @tempoChanges,
         @notes, @panLaw, @startOfDayS, @chainSharing, @sharedChainVersionId, @at)`,
  )
  const change = db.prepare<[Stored<Session>]>(
    `UPDATE sessions SET date = @date, tempo_bpm = @tempoBpm, beats_per_bar = @beatsPerBar,
       beat_unit = @beatUnit, tempo_changes = @tempoChanges, notes = @notes, pan_law = @panLaw,
       start_of_day_s = @startOfDayS, chain_sharing = @chainSharing,
       shared_chain_version_id = @sharedChainVersionId
     WHERE id = @id`,
  )

  const get = (id: number): Session => sessionOf(found(one.get(id), 'session', id))
  const update = db.transaction((id: number, changes: SessionChanges): Session => {
    const next = changed(get(id), changes)
    change.run({ ...next, tempoChanges: JSON.stringify(next.tempoChanges) })
    return get(id)
  })

  return {
    /** Newest first. */
    list: (): ListedSession[] => all.all().map(sessionOf),
    /**
     * Earlier sessions with a chain that have takes of a voice of this session, newest first; those of its
     * artist if no take of it names a voice.
     */
    listEarlier: (id: number): ListedSession[] =>
      (hasVoice.get(id) === undefined ? earlierOfArtist : earlierOfVoices).all({ id }).map(sessionOf),
    get,
    insert: ({ tempoChanges, ...fields }: NewSession, at: string): Session =>
      get(insertedId(add, { ...fields, tempoChanges: JSON.stringify(tempoChanges), at })),
    update: (id: number, changes: SessionChanges): Session => update.immediate(id, changes),
  }
}
