// New rows and their ids.

import type { Statement } from 'better-sqlite3'

/**
 * Runs an INSERT and gives the id of the new row. Not by RETURNING: better-sqlite3 takes the
 * row and does not report that the commit after it failed.
 */
export const insertedId = <Fields>(insert: Statement<[Fields]>, fields: NoInfer<Fields>): number =>
  Number(insert.run(fields).lastInsertRowid)
