// Inserts rows and gives their ids.

import type { Statement } from 'better-sqlite3'

/**
 * Runs an INSERT and gives the id of the new row. Does not use RETURNING, because better-sqlite3 then
 * returns the row without reporting that the commit after it failed.
 */
export const insertedId = <Fields>(insert: Statement<[Fields]>, fields: NoInfer<Fields>): number =>
  Number(insert.run(fields).lastInsertRowid)
