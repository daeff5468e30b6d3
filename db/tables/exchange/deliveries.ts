// Deliveries of sessions, each with what it was made from.

import type { Database } from 'better-sqlite3'
import { DeliveryRecord, DeliverySource } from '../../../app/contract/delivery/delivery-record.ts'
import { found } from '../found.ts'
import { insertedId } from '../inserted-id.ts'
import { readStored } from '../stored-json.ts'

/** A delivery before it is stored; `folder` as stored. */
export type NewDelivery = Pick<
  DeliveryRecord,
  'sessionId' | 'number' | 'folder' | 'manifestSha256' | 'files' | 'bytes' | 'changes'
> & {
  readonly madeFrom: DeliverySource
  /** Whether `madeFrom` has the row numbers of another catalogue. */
  readonly isForeign: boolean
}
export type DeliveryQueries = ReturnType<typeof deliveryQueries>

/** As it is exchanged: without where its folder is here. */
type WholeDelivery = Omit<NewDelivery, 'sessionId' | 'isForeign'> & { readonly createdAt: string }

type Stored = Omit<DeliveryRecord, 'changes'> & { readonly changes: string }

const SELECT = `
  SELECT deliveries.id, session_id AS sessionId, songs.title AS songTitle, artists.name AS artistName,
    number, folder, manifest_sha256 AS manifestSha256, files, bytes, changes,
    deliveries.created_at AS createdAt
  FROM deliveries
  JOIN sessions ON sessions.id = deliveries.session_id
  JOIN songs ON songs.id = sessions.song_id
  JOIN artists ON artists.id = songs.artist_id`

const recordOf = (row: Stored): DeliveryRecord => ({
  ...row,
  changes: readStored(DeliveryRecord.shape.changes, row.changes, `the changes of delivery ${row.id}`),
})

export function deliveryQueries(db: Database) {
  const ofSession = db.prepare<[number], Stored>(
    `${SELECT} WHERE session_id = ? ORDER BY number DESC, deliveries.created_at DESC, deliveries.id DESC`,
  )
  const one = db.prepare<[number], Stored>(`${SELECT} WHERE deliveries.id = ?`)
  const newest = db.prepare<[number], { id: number; number: number; madeFrom: string; isForeign: 0 | 1 }>(
    `SELECT id, number, made_from AS madeFrom, is_foreign AS isForeign FROM deliveries WHERE session_id = ?
     ORDER BY number DESC, created_at DESC, id DESC LIMIT 1`,
  )
  const whole = db.prepare<
    [number],
    { id: number; madeFrom: string; changes: string } & Omit<WholeDelivery, 'madeFrom' | 'changes'>
  >(
    `SELECT id, number, folder, manifest_sha256 AS manifestSha256, files, bytes, made_from AS madeFrom, changes,
       created_at AS createdAt
     FROM deliveries WHERE session_id = ? ORDER BY number, id`,
  )
  const add = db.prepare<
    [
      Omit<NewDelivery, 'madeFrom' | 'changes' | 'isForeign'> & {
        madeFrom: string
        changes: string
        isForeign: 0 | 1
        at: string
      },
    ]
  >(
    `INSERT INTO deliveries
       (session_id, number, folder, manifest_sha256, files, bytes, made_from, changes, is_foreign,
        created_at)
       VALUES (@sessionId, @number, @folder, @manifestSha256, @files, @bytes, @madeFrom, @changes, @isForeign, @at)`,
  )

  return {
    /** Newest first. */
    listOfSession: (sessionId: number): DeliveryRecord[] => ofSession.all(sessionId).map(recordOf),
    /** The newest delivery of a session: its number, and what it was made from. */
    latestSource(sessionId: number): Pick<NewDelivery, 'number' | 'madeFrom' | 'isForeign'> | undefined {
      const row = newest.get(sessionId)
      if (row === undefined) return undefined
      return {
        number: row.number,
        isForeign: row.isForeign === 1,
        madeFrom: readStored(DeliverySource, row.madeFrom, `what delivery ${row.id} was made from`),
      }
    },
    /** With what they were made from, in the order of their numbers. */
    listWhole: (sessionId: number): WholeDelivery[] =>
      whole.all(sessionId).map(({ id, madeFrom, changes, ...fields }) => ({
        ...fields,
        madeFrom: readStored(DeliverySource, madeFrom, `what delivery ${id} was made from`),
        changes: readStored(DeliveryRecord.shape.changes, changes, `the changes of delivery ${id}`),
      })),
    insert({ madeFrom, changes, isForeign, ...fields }: NewDelivery, at: string): DeliveryRecord {
      const id = insertedId(add, {
        ...fields,
        madeFrom: JSON.stringify(madeFrom),
        changes: JSON.stringify(changes),
        isForeign: isForeign ? 1 : 0,
        at,
      })
      return recordOf(found(one.get(id), 'delivery', id))
    },
  }
}
