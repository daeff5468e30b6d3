// Groups: layers of a session that are processed and bounced together.

import type { Database } from 'better-sqlite3'
import type { Group } from '../app/contract/entities.ts'
import { type Changes, changed } from './changes.ts'
import { found } from './found.ts'

export type NewGroup = Omit<Group, 'id' | 'position'>
export type GroupChanges = Changes<Omit<NewGroup, 'sessionId'>>
export type GroupQueries = ReturnType<typeof groupQueries>

const SELECT = `
  SELECT id, session_id AS sessionId, name, chain_version_id AS chainVersionId, gain_db AS gainDb, position
  FROM groups`

export function groupQueries(db: Database) {
  const ofSession = db.prepare<[number], Group>(`${SELECT} WHERE session_id = ? ORDER BY position, id`)
  const one = db.prepare<[number], Group>(`${SELECT} WHERE id = ?`)
  const add = db
    .prepare<[NewGroup], number>(
      `INSERT INTO groups (session_id, name, chain_version_id, gain_db, position)
       SELECT @sessionId, @name, @chainVersionId, @gainDb, coalesce(max(position) + 1, 0)
       FROM groups WHERE session_id = @sessionId
       RETURNING id`,
    )
    .pluck()
  const change = db.prepare<[Group]>(
    'UPDATE groups SET name = @name, chain_version_id = @chainVersionId, gain_db = @gainDb WHERE id = @id',
  )
  const drop = db.prepare<[number]>('DELETE FROM groups WHERE id = ?')

  const get = (id: number): Group => found(one.get(id), 'group', id)
  const update = db.transaction((id: number, changes: GroupChanges): Group => {
    change.run(changed(get(id), changes))
    return get(id)
  })

  return {
    listOfSession: (sessionId: number): Group[] => ofSession.all(sessionId),
    get,
    /** Stands last. */
    insert: (fields: NewGroup): Group => get(add.get(fields)!),
    update: (id: number, changes: GroupChanges): Group => update.immediate(id, changes),
    /** Its layers go with it; their takes stay in the session. */
    remove(id: number): void {
      if (drop.run(id).changes === 0) found(undefined, 'group', id)
    },
  }
}
