// Curves: magnitude in dB over frequency in Hz, of a mic or as a target.

import type { Database } from 'better-sqlite3'
import { CurvePoints } from '../../app/contract/curve.ts'
import { CurvePicture, type CurveRecord } from '../../app/contract/entities.ts'
import { Failure } from '../../app/contract/failure.ts'
import { byName } from './by-name.ts'
import { type Changes, changed } from './changes.ts'
import { found } from './found.ts'
import { insertedId } from './inserted-id.ts'
import { readStored } from './stored-json.ts'

/** With the former id of a removed curve, to undo the removal. */
export type NewCurve = Omit<CurveRecord, 'id'> & { readonly id?: number | undefined }
export type CurveChanges = Changes<Omit<CurveRecord, 'id' | 'micId'>>
export type CurveQueries = ReturnType<typeof curveQueries>

type Row = Omit<CurveRecord, 'points' | 'picture'> & { points: string; picture: string | null }

const SELECT =
  'SELECT id, mic_id AS micId, name, source, pattern, distance_m AS distanceM, note, points, picture FROM curves'

const curveOf = (row: Row): CurveRecord => ({
  ...row,
  points: readStored(CurvePoints, row.points, `the points of curve ${row.id}`),
  picture:
    row.picture === null ? null : readStored(CurvePicture, row.picture, `the picture of curve ${row.id}`),
})

const rowOf = <C extends Omit<CurveRecord, 'id'>>({ points, picture, ...fields }: C) => ({
  ...fields,
  points: JSON.stringify(points),
  picture: picture === null ? null : JSON.stringify(picture),
})

export function curveQueries(db: Database) {
  const all = db.prepare<[], Row>(SELECT)
  const ofMic = db.prepare<[number], Row>(`${SELECT} WHERE mic_id = ?`)
  const one = db.prepare<[number], Row>(`${SELECT} WHERE id = ?`)
  const add = db.prepare<[Omit<Row, 'id'> & { id: number | null; at: string }]>(
    `INSERT INTO curves (id, mic_id, name, source, pattern, distance_m, note, points, picture, created_at)
       VALUES (@id, @micId, @name, @source, @pattern, @distanceM, @note, @points, @picture, @at)`,
  )
  const change = db.prepare<[Row]>(
    `UPDATE curves SET name = @name, source = @source, pattern = @pattern, distance_m = @distanceM, note = @note,
       points = @points, picture = @picture WHERE id = @id`,
  )
  const firstOfMic = db.prepare<[number], Row>(`${SELECT} WHERE mic_id = ? ORDER BY id LIMIT 1`)
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
  const update = db.transaction((id: number, changes: CurveChanges): CurveRecord => {
    change.run(rowOf(changed(get(id), changes)))
    return get(id)
  })

  return {
    /** By name; of one mic, or all with the target curves that belong to no mic. */
    list: (micId?: number): CurveRecord[] =>
      (micId === undefined ? all.all() : ofMic.all(micId)).map(curveOf).sort(byName),
    get,
    /** The mic's oldest curve, which corrects the takes of the mic that have no curve set. */
    firstOf: (micId: number): CurveRecord | undefined => {
      const row = firstOfMic.get(micId)
      return row === undefined ? undefined : curveOf(row)
    },
    insert: ({ id, ...fields }: NewCurve, at: string): CurveRecord =>
      get(insertedId(add, { ...rowOf(fields), id: id ?? null, at })),
    /** Cannot move a curve to another mic. */
    update: (id: number, changes: CurveChanges): CurveRecord => update.immediate(id, changes),
    /** @throws Failure `conflict` while a take uses the curve */
    remove: (id: number): void => remove.immediate(id),
  }
}
