// The copy of a catalogue that is kept before it is migrated.

import { existsSync } from 'node:fs'
import type { Database } from 'better-sqlite3'
import { Failure } from '../../app/contract/failure.ts'
import { createFileBy } from '../../app/files/written-by-others.ts'
import { withFailures } from './sqlite-failures.ts'

/**
 * Copies everything that is committed, including what is still in the write-ahead log, to
 * `<file>.before-<n>`. A copy left by an earlier attempt is kept, and the new one gets `-2`, `-3` …
 * @throws Failure that says that the copy failed
 */
export function keepCopyBefore(db: Database, number: number): void {
  let path = `${db.name}.before-${number}`
  for (let n = 2; existsSync(path); n++) path = `${db.name}.before-${number}-${n}`
  try {
    withFailures(path, () => createFileBy(path, (freshPath) => db.prepare('VACUUM INTO ?').run(freshPath)))
  } catch (error) {
    if (!(error instanceof Failure)) throw error
    throw new Failure(
      error.code,
      `Takeloft keeps a copy of the catalogue ${db.name} before it brings it up to date, and the copy failed. The catalogue was left as it is. ${error.message}`,
      error.details,
      error,
    )
  }
}
