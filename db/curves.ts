// Curves: magnitude in dB over Hz, of a mic or as a target.

import type { Database } from 'better-sqlite3'
import { CurvePoints } from '../app/contract/curve.ts'
import type { CurveRecord } from '../app/contract/entities.ts'
import { Failure } from '../app/contract/failure.ts'
import { byName } from './by-name.ts'
import { found } from './found.ts'
import { readStored } from './stored-json.ts'

export type NewCurve = Omit<CurveRecord, 'id'>
export type CurveQueries = ReturnType<typeof curveQueries>

type Row = Omit<CurveRecord, 'points'> & { points: string }

const SELECT = 'SELECT id, mic_id AS micId, name, source, distance_m AS distanceM, note, points FROM curves'

const curveOf = (row: Row): CurveRecord => ({
  ...row,
  points: readStored(CurvePoints, row.points, `the points of curve ${row.id}`),
})

export function curveQueries(db: Database) {
  const all = db.prepare<[], Row>(SELECT)
  const ofMic = db.prepare<[number], Row>(`${SELECT} WHERE mic_id = ?`)
  const one = db.prepare<[number], Row>(`${SELECT} WHERE id = ?`)
  const add = db
    .prepare<[Omit<Row, 'id'> & { at: string }], number>(
      `INSERT INTO curves (mic_id, name, source, distance_m, note, points, created_at)
       VALUES (@micId, @name, @source, @distanceM, @note, @points, @at) RETURNING id`,
    )
    .pluck()
  const countTakes = db.prepare<[number], number>('SELECT count(*) FROM takes WHERE curve_id = ?').pluck()
  const drop = db.prepare<[number]>('DELETE FROM curves WHERE id = ?')

  const get = (id: number): CurveRecord => curveOf(found(one.get(id), 'curve', id))
  const remove = db.transaction((id: number): void => {
    const { name } = get(id)
    const takes = countTakes.get(id)!
    if (takes > 0) {
      throw new Failure(
        'conflict',
        `The curve "${name}" stays: ${takes} ${takes === 1 ? 'take is' : 'takes are'} corrected with it. Give them another curve first.`,
        { id, takes },
      )
    }
    drop.run(id)
  })

  return {
    /** By name; of one mic, or all with the target curves that belong to no mic. */
    list: (micId?: number): CurveRecord[] =>
      (micId === undefined ? all.all() : ofMic.all(micId)).map(curveOf).sort(byName),
    get,
    insert: (fields: NewCurve, at: string): CurveRecord =>
      get(add.get({ ...fields, points: JSON.stringify(fields.points), at })!),
    /** @throws Failure `conflict` while a take uses the curve */
    remove: (id: number): void => remove.immediate(id),
  }
}
