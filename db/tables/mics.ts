// Queries on the mics table.

import type { Database } from 'better-sqlite3'
import type { Mic } from '../../app/contract/entities.ts'
import { Failure } from '../../app/contract/failure.ts'
import { byName } from './by-name.ts'
import { type Changes, changed } from './changes.ts'
import { found } from './found.ts'
import { uuidOfNew } from './identity/uuid-of-new.ts'
import { insertedId } from './inserted-id.ts'

/** An id restores a removed mic under that id. */
export type NewMic = Omit<Mic, 'id'> & { readonly id?: number | undefined }
export type MicQueries = ReturnType<typeof micQueries>

const SELECT = 'SELECT id, name, serial, pattern, note FROM mics'

export function micQueries(db: Database) {
  const all = db.prepare<[], Mic>(SELECT)
  const one = db.prepare<[number], Mic>(`${SELECT} WHERE id = ?`)
  const add = db.prepare<[Omit<Mic, 'id'> & { id: number | null; at: string }]>(
    `INSERT INTO mics (id, uuid, name, serial, pattern, note, created_at)
       VALUES (@id, ${uuidOfNew('mics', '@at')}, @name, @serial, @pattern, @note, @at)`,
  )
  const change = db.prepare<[Mic]>(
    'UPDATE mics SET name = @name, serial = @serial, pattern = @pattern, note = @note WHERE id = @id',
  )

  const countUses = db
    .prepare<[number, number], number>(
      `SELECT (SELECT count(*) FROM takes WHERE mic_id = ?) + (SELECT count(*) FROM curves WHERE mic_id = ?)`,
    )
    .pluck()
  const drop = db.prepare<[number]>('DELETE FROM mics WHERE id = ?')

  const get = (id: number): Mic => found(one.get(id), 'mic', id)
  const update = db.transaction((id: number, changes: Changes<Omit<Mic, 'id'>>): Mic => {
    change.run(changed(get(id), changes))
    return get(id)
  })
  const remove = db.transaction((id: number): void => {
    const { name } = get(id)
    if (countUses.get(id, id)! > 0) {
      throw new Failure(
        'conflict',
        `The mic "${name}" cannot be removed because it has curves, or takes were recorded with it; remove its curves and assign its takes to another mic first.`,
        { id },
      )
    }
    drop.run(id)
  })

  return {
    /** Sorted by name. */
    list: (): Mic[] => all.all().sort(byName),
    get,
    insert: ({ id, ...fields }: NewMic, at: string): Mic =>
      get(insertedId(add, { ...fields, id: id ?? null, at })),
    update: (id: number, changes: Changes<Omit<Mic, 'id'>>): Mic => update.immediate(id, changes),
    /** @throws Failure `conflict` while it has curves or takes */
    remove: (id: number): void => remove.immediate(id),
  }
}
