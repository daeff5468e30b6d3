// Checks of takes' files: which take is due, how much was read, and what was found.

import type { Database } from 'better-sqlite3'
import type { TakeCheckResult } from '../../../app/contract/entities.ts'

export interface TakeCheckRow {
  readonly takeId: number
  readonly checkedAt: string
  readonly sizeBytes: number
  /** Nanoseconds since 1970; null where there was no file. */
  readonly modifiedNs: string | null
  readonly result: TakeCheckResult
}

export type TakeCheckQueries = ReturnType<typeof takeCheckQueries>

const SELECT = `SELECT take_id AS takeId, checked_at AS checkedAt, size_bytes AS sizeBytes,
    modified_ns AS modifiedNs, result FROM take_checks`

export function takeCheckQueries(db: Database) {
  const due = db
    .prepare<[string, string], number>(
      `SELECT takes.id FROM takes LEFT JOIN take_checks AS newest ON newest.id =
         (SELECT id FROM take_checks WHERE take_id = takes.id ORDER BY checked_at DESC, id DESC LIMIT 1)
       WHERE (newest.checked_at IS NULL OR newest.checked_at < ?)
         AND takes.id NOT IN (SELECT value FROM json_each(?))
       ORDER BY coalesce(newest.checked_at, ''), takes.id LIMIT 1`,
    )
    .pluck()
  const newest = db.prepare<[number], TakeCheckRow>(
    `${SELECT} WHERE take_id = ? ORDER BY checked_at DESC, id DESC LIMIT 1`,
  )
  const newestSound = db.prepare<[number], TakeCheckRow>(
    `${SELECT} WHERE take_id = ? AND result = 'sound' ORDER BY checked_at DESC, id DESC LIMIT 1`,
  )
  const read = db
    .prepare<[string], number>('SELECT coalesce(sum(size_bytes), 0) FROM take_checks WHERE checked_at >= ?')
    .pluck()
  // A size that was not noted is that of the samples.
  const total = db
    .prepare<[], number>('SELECT coalesce(sum(coalesce(size_bytes, frames * channels * 3)), 0) FROM takes')
    .pluck()
  const add = db.prepare<[TakeCheckRow & { isNews: number }]>(
    `INSERT INTO take_checks (take_id, checked_at, size_bytes, modified_ns, result, is_news)
       VALUES (@takeId, @checkedAt, @sizeBytes, @modifiedNs, @result, @isNews)`,
  )
  const thin = db.prepare<[{ takeId: number; since: string }]>(
    `DELETE FROM take_checks WHERE take_id = @takeId AND is_news = 0 AND checked_at < @since AND id NOT IN (
       SELECT id FROM take_checks WHERE take_id = @takeId ORDER BY checked_at DESC, id DESC LIMIT 1) AND id NOT IN (
       SELECT id FROM take_checks WHERE take_id = @takeId AND result = 'sound'
       ORDER BY checked_at DESC, id DESC LIMIT 1)`,
  )
  const troubled = db.prepare<[], TakeCheckRow>(
    `${SELECT} WHERE result <> 'sound' AND id IN (
       SELECT id FROM take_checks AS newest WHERE newest.take_id = take_checks.take_id
       ORDER BY checked_at DESC, id DESC LIMIT 1) ORDER BY checked_at DESC, id DESC`,
  )
  const insert = db.transaction((check: TakeCheckRow, dayBefore: string): boolean => {
    const before = newest.get(check.takeId)?.result ?? 'sound'
    // Takes of a disk that is not connected would fill the ledger; the window names missing takes anyway.
    const isNews =
      check.result !== before &&
      check.result !== 'missing' &&
      !(check.result === 'sound' && before === 'missing')
    add.run({ ...check, isNews: Number(isNews) })
    thin.run({ takeId: check.takeId, since: dayBefore })
    return isNews
  })

  return {
    /**
     * The take whose file was not read for longest, and not since `before`; undefined if there is none.
     * @param without ids of takes that are passed over
     */
    findDue: (before: string, without: readonly number[]): number | undefined =>
      due.get(before, JSON.stringify(without)),
    /** The newest check of a take that found its file sound. */
    latestSound: (takeId: number): TakeCheckRow | undefined => newestSound.get(takeId),
    /** Bytes that were read since `from`. */
    bytesSince: (from: string): number => read.get(from) ?? 0,
    /** Bytes of the files of all takes. */
    totalBytes: (): number => total.get() ?? 0,
    /** Takes whose newest check did not find them sound, with that check; the newest first. */
    listTroubled: (): TakeCheckRow[] => troubled.all(),
    /**
     * Stores a check and removes older ones that tell nothing more.
     * @param dayBefore checks since then count for what may be read in a day, so they stay
     * @returns whether it found something else than the check before, or than the import
     */
    insert: (check: TakeCheckRow, dayBefore: string): boolean => insert.immediate(check, dayBefore),
  }
}
