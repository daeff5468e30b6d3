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
> & { readonly madeFrom: DeliverySource }
export type DeliveryQueries = ReturnType<typeof deliveryQueries>

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
  const ofSession = db.prepare<[number], Stored>(`${SELECT} WHERE session_id = ? ORDER BY number DESC`)
  const one = db.prepare<[number], Stored>(`${SELECT} WHERE deliveries.id = ?`)
  const newest = db.prepare<[number], { id: number; number: number; madeFrom: string }>(
    `SELECT id, number, made_from AS madeFrom FROM deliveries WHERE session_id = ? ORDER BY number DESC LIMIT 1`,
  )
  const add = db.prepare<
    [Omit<NewDelivery, 'madeFrom' | 'changes'> & { madeFrom: string; changes: string; at: string }]
  >(
    `INSERT INTO deliveries
       (session_id, number, folder, manifest_sha256, files, bytes, made_from, changes, created_at)
       VALUES (@sessionId, @number, @folder, @manifestSha256, @files, @bytes, @madeFrom, @changes, @at)`,
  )

  return {
    /** Newest first. */
    listOfSession: (sessionId: number): DeliveryRecord[] => ofSession.all(sessionId).map(recordOf),
    /** The newest delivery of a session: its number, and what it was made from. */
    latestSource(
      sessionId: number,
    ): { readonly number: number; readonly madeFrom: DeliverySource } | undefined {
      const row = newest.get(sessionId)
      if (row === undefined) return undefined
      return {
        number: row.number,
        madeFrom: readStored(DeliverySource, row.madeFrom, `what delivery ${row.id} was made from`),
      }
    },
    insert({ madeFrom, changes, ...fields }: NewDelivery, at: string): DeliveryRecord {
      const id = insertedId(add, {
        ...fields,
        madeFrom: JSON.stringify(madeFrom),
        changes: JSON.stringify(changes),
        at,
      })
      return recordOf(found(one.get(id), 'delivery', id))
    },
  }
}
