// Mics, as the engineer names them.

import type { Database } from 'better-sqlite3'
import type { Mic } from '../app/contract/entities.ts'
import { byName } from './by-name.ts'
import { type Changes, changed } from './changes.ts'
import { found } from './found.ts'

export type NewMic = Omit<Mic, 'id'>
export type MicQueries = ReturnType<typeof micQueries>

const SELECT = 'SELECT id, name, serial, pattern, note FROM mics'

export function micQueries(db: Database) {
  const all = db.prepare<[], Mic>(SELECT)
  const one = db.prepare<[number], Mic>(`${SELECT} WHERE id = ?`)
  const add = db
    .prepare<[NewMic & { at: string }], number>(
      `INSERT INTO mics (name, serial, pattern, note, created_at)
       VALUES (@name, @serial, @pattern, @note, @at) RETURNING id`,
    )
    .pluck()
  const change = db.prepare<[Mic]>(
    'UPDATE mics SET name = @name, serial = @serial, pattern = @pattern, note = @note WHERE id = @id',
  )

  const get = (id: number): Mic => found(one.get(id), 'mic', id)
  const update = db.transaction((id: number, changes: Changes<NewMic>): Mic => {
    change.run(changed(get(id), changes))
    return get(id)
  })

  return {
    /** By name. */
    list: (): Mic[] => all.all().sort(byName),
    get,
    insert: (fields: NewMic, at: string): Mic => get(add.get({ ...fields, at })!),
    update: (id: number, changes: Changes<NewMic>): Mic => update.immediate(id, changes),
  }
}
