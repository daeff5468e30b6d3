// Takes: recorded files, identified by the SHA-256 of their bytes and never changed.

import type { Database } from 'better-sqlite3'
import type { Take, TakePlaces } from '../../app/contract/entities.ts'
import { Failure } from '../../app/contract/failure.ts'
import { TakeFacts } from '../../app/contract/take-facts.ts'
import { type Changes, changed } from './changes.ts'
import { found } from './found.ts'
import { insertedId } from './inserted-id.ts'
import { readStored } from './stored-json.ts'

export type NewTake = Omit<Take, 'id' | 'copies'>
export type TakeChanges = Changes<Pick<Take, 'name' | 'voiceId' | 'micId' | 'curveId'>>
/** A take without its facts, which are most of its row. */
export type TakeOnDisk = Omit<Take, 'facts'>
export type TakeQueries = ReturnType<typeof takeQueries>

/** What a take's file says of itself, and earlier versions did not store. */
type FileFacts = Pick<Take, 'timeReferenceSamples' | 'sizeBytes'>

type Row = Omit<Take, 'facts' | 'copies'> & { facts: string; copies: string }
type RowOnDisk = Omit<Row, 'facts'>

const select = (facts: string | null): string => `
  SELECT id, sha256, name, path, container, encoding, sample_rate_hz AS sampleRateHz, channels, frames,
    time_reference_samples AS timeReferenceSamples, size_bytes AS sizeBytes,
    imported_at AS importedAt, voice_id AS voiceId, mic_id AS micId, curve_id AS curveId,${facts === null ? '' : ` ${facts} AS facts,`}
    (SELECT json_group_array(take_copies.path ORDER BY take_copies.id) FROM take_copies
     WHERE take_copies.take_id = takes.id) AS copies
  FROM takes`
const SELECT = select('facts')
// Lists are read often and do not show the voice analysis, which is most of a take's facts.
const SELECT_FOR_LIST = select("json_remove(facts, '$.voice')")
const SELECT_ON_DISK = select(null)

const takeOf = (row: Row): Take => ({
  ...row,
  facts: readStored(TakeFacts, row.facts, `the facts of take ${row.id}`),
  copies: JSON.parse(row.copies) as string[],
})

export function takeQueries(db: Database) {
  const one = db.prepare<[number], Row>(`${SELECT} WHERE id = ?`)
  const bySha256 = db.prepare<[string], Row>(`${SELECT} WHERE sha256 = ?`)
  const idBySha256 = db.prepare<[string], number>('SELECT id FROM takes WHERE sha256 = ?').pluck()
  const ofSession = db.prepare<[number], Row>(
    `${SELECT_FOR_LIST} JOIN session_takes ON take_id = id WHERE session_id = ? ORDER BY id`,
  )
  const oneOnDisk = db.prepare<[number], RowOnDisk>(`${SELECT_ON_DISK} WHERE id = ?`)
  const onDisk = db.prepare<[], RowOnDisk>(`${SELECT_ON_DISK} ORDER BY id`)
  const onDiskOfSession = db.prepare<[number], RowOnDisk>(
    `${SELECT_ON_DISK} JOIN session_takes ON take_id = id WHERE session_id = ? ORDER BY id`,
  )
  const hashesOfSession = db
    .prepare<[number], string>(
      'SELECT sha256 FROM takes JOIN session_takes ON take_id = id WHERE session_id = ? ORDER BY id',
    )
    .pluck()
  const idsOfSession = db
    .prepare<[number], number>('SELECT take_id FROM session_takes WHERE session_id = ?')
    .pluck()
  const firstSession = db
    .prepare<[number], number | null>('SELECT min(session_id) FROM session_takes WHERE take_id = ?')
    .pluck()
  const ofVoiceBefore = db.prepare<[{ voiceId: number; takeId: number; limit: number }], Row>(
    `${SELECT} WHERE voice_id = @voiceId AND id < @takeId AND NOT EXISTS (
       SELECT 1 FROM session_takes AS other JOIN session_takes AS own ON own.session_id = other.session_id
       WHERE other.take_id = takes.id AND own.take_id = @takeId
     ) ORDER BY imported_at DESC, id DESC LIMIT @limit`,
  )
  const add = db.prepare<[Omit<Row, 'id' | 'copies'>]>(
    `INSERT INTO takes (sha256, name, path, container, encoding, sample_rate_hz, channels, frames,
         time_reference_samples, size_bytes, imported_at, voice_id, mic_id, curve_id, facts)
       VALUES (@sha256, @name, @path, @container, @encoding, @sampleRateHz, @channels, @frames,
         @timeReferenceSamples, @sizeBytes, @importedAt, @voiceId, @micId, @curveId, @facts)`,
  )
  const change = db.prepare<[Pick<Take, 'id' | 'name' | 'voiceId' | 'micId' | 'curveId'>]>(
    `UPDATE takes SET name = @name, voice_id = @voiceId, mic_id = @micId, curve_id = @curveId WHERE id = @id`,
  )
  const places = db.prepare<[], { name: string; path: string }>(
    `SELECT name, path FROM takes UNION ALL
     SELECT takes.name, take_copies.path FROM take_copies JOIN takes ON takes.id = take_id`,
  )
  const addCopy = db.prepare<[number, string]>(
    'INSERT INTO take_copies (take_id, path) VALUES (?, ?) ON CONFLICT DO NOTHING',
  )
  const complete = db.prepare<[FileFacts & { id: number }]>(
    `UPDATE takes SET time_reference_samples = coalesce(time_reference_samples, @timeReferenceSamples),
       size_bytes = coalesce(size_bytes, @sizeBytes) WHERE id = @id`,
  )
  const dropCopies = db.prepare<[number]>('DELETE FROM take_copies WHERE take_id = ?')
  const dropCopy = db.prepare<[number, string]>('DELETE FROM take_copies WHERE take_id = ? AND path = ?')
  const changePath = db.prepare<[string, number]>('UPDATE takes SET path = ? WHERE id = ?')
  const link = db.prepare<[number, number]>(
    'INSERT INTO session_takes (session_id, take_id) VALUES (?, ?) ON CONFLICT DO NOTHING',
  )
  const unlink = db.prepare<[number, number]>(
    'DELETE FROM session_takes WHERE session_id = ? AND take_id = ?',
  )
  const micOfCurve = db.prepare<[number], { micId: number | null }>(
    'SELECT mic_id AS micId FROM curves WHERE id = ?',
  )

  const get = (id: number): Take => takeOf(found(one.get(id), 'take', id))
  const onDiskOf = (row: RowOnDisk): TakeOnDisk => ({ ...row, copies: JSON.parse(row.copies) as string[] })
  const getOnDisk = (id: number): TakeOnDisk => onDiskOf(found(oneOnDisk.get(id), 'take', id))

  const refuseStrangeCurve = ({ micId, curveId }: Pick<Take, 'micId' | 'curveId'>): void => {
    if (curveId === null || found(micOfCurve.get(curveId), 'curve', curveId).micId === micId) return
    if (micId === null) {
      throw new Failure('conflict', 'A take without a mic cannot have a curve; name the mic as well.', {
        curveId,
      })
    }
    throw new Failure(
      'conflict',
      "The curve is not one of the take's mic; choose one of that mic's curves.",
      {
        micId,
        curveId,
      },
    )
  }

  const insert = db.transaction((fields: NewTake): Take => {
    refuseStrangeCurve(fields)
    return get(insertedId(add, { ...fields, facts: JSON.stringify(fields.facts) }))
  })
  const noteCopy = db.transaction((id: number, path: string): Take => {
    if (get(id).path !== path) addCopy.run(id, path)
    return get(id)
  })
  const moveTo = db.transaction((id: number, path: string): void => {
    const former = getOnDisk(id).path
    if (former === path) return
    dropCopy.run(id, path)
    changePath.run(path, id)
    addCopy.run(id, former)
  })
  const restorePlaces = db.transaction(({ id, path, copies }: TakePlaces): void => {
    const now = getOnDisk(id)
    const known = [now.path, ...now.copies]
    const strange = [path, ...copies].find((one) => !known.includes(one))
    if (strange !== undefined) {
      throw new Failure('conflict', `The take ${now.name} has never been at ${strange}.`, { path: strange })
    }
    changePath.run(path, id)
    dropCopies.run(id)
    for (const copy of copies) addCopy.run(id, copy)
  })
  const update = db.transaction((id: number, changes: TakeChanges): Take => {
    const { name, voiceId, micId, curveId } = changed(get(id), changes)
    refuseStrangeCurve({ micId, curveId })
    change.run({ id, name, voiceId, micId, curveId })
    return get(id)
  })

  return {
    get,
    findBySha256(sha256: string): Take | undefined {
      const row = bySha256.get(sha256)
      return row && takeOf(row)
    },
    /** Without reading its facts. */
    idOfSha256: (sha256: string): number | undefined => idBySha256.get(sha256),
    /** @throws Failure `conflict` when a take with the same bytes exists, or the curve is of another mic */
    insert: (fields: NewTake): Take => insert.immediate(fields),
    /** Stores the path of another file with the same bytes. */
    noteCopy: (id: number, path: string): Take => noteCopy.immediate(id, path),
    /** Changes the take's path; the former path is stored as that of a copy. */
    moveTo: (id: number, path: string): void => moveTo.immediate(id, path),
    /** Stores what an earlier version has not read from the take's file; what is stored stays. */
    complete(id: number, { timeReferenceSamples, sizeBytes }: FileFacts): void {
      complete.run({ id, timeReferenceSamples, sizeBytes })
    },
    /**
     * Sets path and copies as they were before moveTo.
     * @throws Failure `conflict` for a path at which the take was never seen
     */
    restorePlaces: (places: TakePlaces): void => restorePlaces.immediate(places),
    /** @throws Failure `conflict` when the take's curve would not be a curve of its mic */
    update: (id: number, changes: TakeChanges): Take => update.immediate(id, changes),
    /** Every path at which a take's file or a copy of it was seen. */
    listPlaces: (): { name: string; path: string }[] => places.all(),
    /** In the order of import. */
    listOfSession: (sessionId: number): Take[] => ofSession.all(sessionId).map(takeOf),
    /** In the order of import, without reading their facts; of all sessions for null. */
    listOnDisk(sessionId: number | null): TakeOnDisk[] {
      const rows = sessionId === null ? onDisk.all() : onDiskOfSession.all(sessionId)
      return rows.map(onDiskOf)
    },
    /** Without reading its facts, which takes longer than all else. */
    getOnDisk,
    /** Without reading their facts. */
    idsOfSession: (sessionId: number): number[] => idsOfSession.all(sessionId),
    /** The first session that it was in; null if it is in none. */
    firstSession: (id: number): number | null => firstSession.get(id) ?? null,
    /** The SHA-256 of each, in the order of import, without reading their facts. */
    hashesOfSession: (sessionId: number): string[] => hashesOfSession.all(sessionId),
    /** Takes of the voice that were imported before and are in none of the take's sessions, newest first. */
    listHistory(voiceId: number, takeId: number, limit: number): Take[] {
      return ofVoiceBefore.all({ voiceId, takeId, limit }).map(takeOf)
    },
    /** Idempotent. */
    linkToSession(sessionId: number, takeId: number): void {
      link.run(sessionId, takeId)
    },
    unlinkFromSession(sessionId: number, takeId: number): void {
      unlink.run(sessionId, takeId)
    },
  }
}
