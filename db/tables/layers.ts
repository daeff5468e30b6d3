// Layers: uses of takes in a session's stack.

import type { Database } from 'better-sqlite3'
import type { Layer } from '../../app/contract/entities.ts'
import { Failure } from '../../app/contract/failure.ts'
import { MAX_LAYERS } from '../../app/contract/text/limits.ts'
import { type Changes, changed } from './changes.ts'
import { found } from './found.ts'
import { uuidOfNew } from './identity/uuid-of-new.ts'
import { insertedId } from './inserted-id.ts'

/** With its former id and position, to undo a removal; its polarity is not inverted by default. */
export type NewLayer = Omit<Layer, 'id' | 'position' | 'polarityInverted'> & {
  readonly polarityInverted?: boolean | undefined
  readonly id?: number | undefined
  readonly position?: number | undefined
}
export type LayerChanges = Changes<Omit<Layer, 'id' | 'sessionId' | 'takeId' | 'position'>>
export type LayerQueries = ReturnType<typeof layerQueries>

type Flag = 'muted' | 'polarityInverted'
type Row = Omit<Layer, Flag> & Record<Flag, 0 | 1>
type NewRow = Omit<Row, 'id' | 'position'> & { id: number | null; position: number | null }

const SELECT = `
  SELECT id, session_id AS sessionId, group_id AS groupId, take_id AS takeId, name, role,
    offset_samples AS offsetSamples, gain_db AS gainDb, pan, muted, polarity_inverted AS polarityInverted,
    position
  FROM layers`

const layerOf = (row: Row): Layer => ({
  ...row,
  muted: row.muted === 1,
  polarityInverted: row.polarityInverted === 1,
})
const flagOf = (isSet: boolean): 0 | 1 => (isSet ? 1 : 0)
const flagsOf = ({ muted, polarityInverted = false }: Pick<NewLayer, Flag>): Record<Flag, 0 | 1> => ({
  muted: flagOf(muted),
  polarityInverted: flagOf(polarityInverted),
})

export function layerQueries(db: Database) {
  const ofSession = db.prepare<[number], Row>(`${SELECT} WHERE session_id = ? ORDER BY position, id`)
  const one = db.prepare<[number], Row>(`${SELECT} WHERE id = ?`)
  const add = db.prepare<[NewRow]>(
    `INSERT INTO layers (id, uuid, session_id, group_id, take_id, name, role, offset_samples, gain_db, pan, muted,
         polarity_inverted, position)
       SELECT @id, ${uuidOfNew('layers', 'NULL')}, @sessionId, @groupId, @takeId, @name, @role, @offsetSamples, @gainDb, @pan, @muted,
         @polarityInverted, coalesce(@position, max(position) + 1, 0)
       FROM layers WHERE session_id = @sessionId`,
  )
  const change = db.prepare<[Row]>(
    `UPDATE layers SET group_id = @groupId, name = @name, role = @role, offset_samples = @offsetSamples,
       gain_db = @gainDb, pan = @pan, muted = @muted, polarity_inverted = @polarityInverted
     WHERE id = @id`,
  )
  const place = db.prepare<[{ id: number; position: number }]>(
    'UPDATE layers SET position = @position WHERE id = @id',
  )
  const drop = db.prepare<[number]>('DELETE FROM layers WHERE id = ?')
  const countOfSession = db
    .prepare<[number], number>('SELECT count(*) FROM layers WHERE session_id = ?')
    .pluck()
  const hasGroup = db.prepare<[number, number]>('SELECT 1 FROM groups WHERE id = ? AND session_id = ?')
  const hasTake = db.prepare<[number, number]>(
    'SELECT 1 FROM session_takes WHERE take_id = ? AND session_id = ?',
  )

  const get = (id: number): Layer => layerOf(found(one.get(id), 'layer', id))

  const refuseStrangers = ({ sessionId, groupId, takeId }: Omit<NewLayer, 'id'>): void => {
    if (hasGroup.get(groupId, sessionId) === undefined) {
      throw new Failure('not-found', `Session ${sessionId} has no group with the id ${groupId}.`, {
        sessionId,
        groupId,
      })
    }
    if (hasTake.get(takeId, sessionId) === undefined) {
      throw new Failure(
        'not-found',
        `Take ${takeId} is not among the takes of session ${sessionId}; take it into the session first.`,
        { sessionId, takeId },
      )
    }
  }

  const insert = db.transaction((fields: NewLayer): Layer => {
    refuseStrangers(fields)
    if (countOfSession.get(fields.sessionId)! >= MAX_LAYERS) {
      throw new Failure(
        'conflict',
        `The session has ${MAX_LAYERS} layers, and a bounce takes no more; remove one that is not used, or go on in another session.`,
        { sessionId: fields.sessionId },
      )
    }
    const { id = null, position = null } = fields
    return get(insertedId(add, { ...fields, id, position, ...flagsOf(fields) }))
  })
  const update = db.transaction((id: number, changes: LayerChanges): Layer => {
    const next = changed(get(id), changes)
    refuseStrangers(next)
    change.run({ ...next, ...flagsOf(next) })
    return get(id)
  })
  const setPositions = db.transaction((sessionId: number, layerIds: readonly number[]): void => {
    const ascending = (ids: readonly number[]): string => ids.toSorted((a, b) => a - b).join()
    if (ascending(layerIds) !== ascending(ofSession.all(sessionId).map((row) => row.id))) {
      throw new Failure(
        'conflict',
        `The order names other layers than session ${sessionId} has; read the stack again.`,
        { sessionId },
      )
    }
    for (const [position, id] of layerIds.entries()) place.run({ id, position })
  })

  return {
    listOfSession: (sessionId: number): Layer[] => ofSession.all(sessionId).map(layerOf),
    get,
    /**
     * Inserts the layer last if no position is given.
     * @throws Failure `not-found` when the group or the take is not in the session, `conflict` when the id is
     *   taken or the session already has MAX_LAYERS layers
     */
    insert: (fields: NewLayer): Layer => insert.immediate(fields),
    /** @throws Failure `not-found` when the group is not in the session */
    update: (id: number, changes: LayerChanges): Layer => update.immediate(id, changes),
    remove(id: number): void {
      if (drop.run(id).changes === 0) found(undefined, 'layer', id)
    },
    /**
     * Puts all layers of a session in this order.
     * @throws Failure `conflict` unless each of them is listed once
     */
    setPositions: (sessionId: number, layerIds: readonly number[]): void =>
      setPositions.immediate(sessionId, layerIds),
  }
}
