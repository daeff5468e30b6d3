// The functions of the program that SQL calls: triggers and inserts need them on every connection that writes.

import { hostname } from 'node:os'
import type { Database } from 'better-sqlite3'
import { uuid7 } from '../../app/history/uuid7.ts'
import { addRowHash } from './row-hashes.ts'

/** Reads the clock, ISO 8601. */
export type ReadClock = () => string

const systemClock: ReadClock = () => new Date().toISOString()

/** Later years have more digits, which histories do not take. */
const LAST_MOMENT = Date.UTC(9999, 11, 31, 23, 59, 59, 999)

/** The name of this computer; the catalogue gives each an id (db/tables/identity). */
export const computerName = (): string => hostname().slice(0, 200) || 'unnamed computer'

/**
 * `row_hash(value, …)`, see row-hashes.ts; `uuid7(at)`, a new UUID of the time `at`, ISO 8601, of now if it is
 * null; `clock()`, now in ISO 8601; `clock_after(at)`, now, or a millisecond after `at` where the clock shows no
 * later time; `computer()`, the name of this one.
 */
export function addSqlFunctions(db: Database, readClock: ReadClock = systemClock): void {
  addRowHash(db)
  db.function('uuid7', (at: unknown) => uuid7(Date.parse(typeof at === 'string' ? at : readClock())))
  db.function('clock', () => readClock())
  db.function('clock_after', (at: unknown) => {
    const now = readClock()
    const next = typeof at === 'string' ? Date.parse(at) + 1 : Number.NaN
    return next > Date.parse(now) ? new Date(Math.min(next, LAST_MOMENT)).toISOString() : now
  })
  db.function('computer', () => computerName())
}
