// Groups: layers of a session that are processed and bounced together.

import type { Database } from 'better-sqlite3'
import type { Group } from '../../app/contract/entities.ts'
import { Failure } from '../../app/contract/failure.ts'
import { MAX_GROUPS } from '../../app/contract/text/limits.ts'
import { type Changes, changed } from './changes.ts'
import { found } from './found.ts'
import { uuidOfNew } from './identity/uuid-of-new.ts'
import { insertedId } from './inserted-id.ts'

/** With its former id and position, to undo a removal. */
export type NewGroup = Omit<Group, 'id' | 'position'> & {
  readonly id?: number | undefined
  readonly position?: number | undefined
}
export type GroupChanges = Changes<Omit<Group, 'id' | 'position' | 'sessionId'>>
export type GroupQueries = ReturnType<typeof groupQueries>

const SELECT = `
  SELECT id, session_id AS sessionId, name, chain_version_id AS chainVersionId, gain_db AS gainDb, position
  FROM groups`

export function groupQueries(db: Database) {
  const ofSession = db.prepare<[number], Group>(`${SELECT} WHERE session_id = ? ORDER BY position, id`)
  const one = db.prepare<[number], Group>(`${SELECT} WHERE id = ?`)
  const add = db.prepare<[Omit<Group, 'id' | 'position'> & { id: number | null; position: number | null }]>(
    `INSERT INTO groups (id, uuid, session_id, name, chain_version_id, gain_db, position)
       SELECT @id, ${uuidOfNew('groups', 'NULL')}, @sessionId, @name, @chainVersionId, @gainDb, coalesce(@position, max(position) + 1, 0)
       FROM groups WHERE session_id = @sessionId`,
  )
  const change = db.prepare<[Group]>(
    'UPDATE groups SET name = @name, chain_version_id = @chainVersionId, gain_db = @gainDb WHERE id = @id',
  )
  const drop = db.prepare<[number]>('DELETE FROM groups WHERE id = ?')
  const countOfSession = db
    .prepare<[number], number>('SELECT count(*) FROM groups WHERE session_id = ?')
    .pluck()

  const get = (id: number): Group => found(one.get(id), 'group', id)
  const insert = db.transaction(({ id, position, ...fields }: NewGroup): Group => {
    if (countOfSession.get(fields.sessionId)! >= MAX_GROUPS) {
      throw new Failure(
        'conflict',
        `The session has ${MAX_GROUPS} groups, and a bounce takes no more; put the layers into a group that is there, or remove one.`,
        { sessionId: fields.sessionId },
      )
    }
    return get(insertedId(add, { ...fields, id: id ?? null, position: position ?? null }))
  })
  const update = db.transaction((id: number, changes: GroupChanges): Group => {
    change.run(changed(get(id), changes))
    return get(id)
  })

  return {
    listOfSession: (sessionId: number): Group[] => ofSession.all(sessionId),
    get,
    /**
     * Inserts the group last if no position is given.
     * @throws Failure `conflict` when the session already has MAX_GROUPS groups
     */
    insert: (fields: NewGroup): Group => insert.immediate(fields),
    update: (id: number, changes: GroupChanges): Group => update.immediate(id, changes),
    /** Removes the group with its layers; their takes stay in the session. */
    remove(id: number): void {
      if (drop.run(id).changes === 0) found(undefined, 'group', id)
    },
  }
}
