// Voices of an artist: rapping and singing, for example, are separate voices.

import type { Database } from 'better-sqlite3'
import type { Voice } from '../../app/contract/entities.ts'
import { byName } from './by-name.ts'
import { type Changes, changed } from './changes.ts'
import { found } from './found.ts'
import { insertedId } from './inserted-id.ts'

export type NewVoice = Omit<Voice, 'id'>
/** A voice stays with its artist. */
export type VoiceChanges = Changes<Omit<NewVoice, 'artistId'>>
export type VoiceQueries = ReturnType<typeof voiceQueries>

const SELECT = 'SELECT id, artist_id AS artistId, name, note FROM voices'

export function voiceQueries(db: Database) {
  const all = db.prepare<[], Voice>(SELECT)
  const ofArtist = db.prepare<[number], Voice>(`${SELECT} WHERE artist_id = ?`)
  const one = db.prepare<[number], Voice>(`${SELECT} WHERE id = ?`)
  const add = db.prepare<[NewVoice & { at: string }]>(
    `INSERT INTO voices (uuid, artist_id, name, note, created_at)
       VALUES (uuid7(@at), @artistId, @name, @note, @at)`,
  )
  const change = db.prepare<[Voice]>('UPDATE voices SET name = @name, note = @note WHERE id = @id')

  const get = (id: number): Voice => found(one.get(id), 'voice', id)
  const update = db.transaction((id: number, changes: VoiceChanges): Voice => {
    change.run(changed(get(id), changes))
    return get(id)
  })

  return {
    /** By name. */
    list: (artistId?: number): Voice[] =>
      (artistId === undefined ? all.all() : ofArtist.all(artistId)).sort(byName),
    get,
    insert: (fields: NewVoice, at: string): Voice => get(insertedId(add, { ...fields, at })),
    update: (id: number, changes: VoiceChanges): Voice => update.immediate(id, changes),
  }
}
