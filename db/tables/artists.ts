// Artists: who is recorded.

import type { Database } from 'better-sqlite3'
import type { Artist } from '../../app/contract/entities.ts'
import { byName } from './by-name.ts'
import { type Changes, changed } from './changes.ts'
import { found } from './found.ts'
import { insertedId } from './inserted-id.ts'

export type NewArtist = Omit<Artist, 'id'>
export type ArtistQueries = ReturnType<typeof artistQueries>

export function artistQueries(db: Database) {
  const all = db.prepare<[], Artist>('SELECT id, name, note FROM artists')
  const one = db.prepare<[number], Artist>('SELECT id, name, note FROM artists WHERE id = ?')
  const add = db.prepare<[NewArtist & { at: string }]>(
    'INSERT INTO artists (uuid, name, note, created_at) VALUES (uuid7(@at), @name, @note, @at)',
  )
  const change = db.prepare<[Artist]>('UPDATE artists SET name = @name, note = @note WHERE id = @id')

  const get = (id: number): Artist => found(one.get(id), 'artist', id)
  const update = db.transaction((id: number, changes: Changes<NewArtist>): Artist => {
    change.run(changed(get(id), changes))
    return get(id)
  })

  return {
    /** By name. */
    list: (): Artist[] => all.all().sort(byName),
    get,
    insert: (fields: NewArtist, at: string): Artist => get(insertedId(add, { ...fields, at })),
    update: (id: number, changes: Changes<NewArtist>): Artist => update.immediate(id, changes),
  }
}
