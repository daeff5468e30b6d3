// Notices that a catalogue's file, or the log that SQLite writes beside it, was deleted, replaced or
// cut short while it was open. SQLite goes on writing into files that have no name any more, and all
// of it would be gone at the end.

import { statSync } from 'node:fs'
import type { Database } from 'better-sqlite3'
import { Failure } from '../../app/contract/failure.ts'
import { rescuer } from './rescue.ts'

/** Notices that a catalogue’s file was deleted or replaced. */
export interface FileWatch {
  /** To be called before every write: what was cut short grows again with the next one. */
  look(): void
  /**
   * To be called after every write.
   * @throws Failure `catalogue-gone`, after everything that was saved was kept in another file
   */
  refuseGone(): void
}

/** @param db open on the file at `path` */
export function watchFile(db: Database, path: string): FileWatch {
  const rescue = rescuer(db, path)
  const file = watched(path, `The catalogue ${path}`)
  // The log is made by the first write, or was left by another connection.
  const log = watched(`${path}-wal`, `The log ${path}-wal of the catalogue`)
  let what: string | null = null
  const look = (): void => {
    what ??= file.harm() ?? log.harm()
  }
  return {
    look,
    refuseGone() {
      look()
      if (what === null) return
      let kept: string
      try {
        kept = `All that was saved, this change too, was kept in ${rescue()}; close Takeloft and open that file, or put it back in the catalogue’s place.`
      } catch (error) {
        kept = `What was saved could not be kept in another file (${(error as Error).message}); close Takeloft and look at its snapshots.`
      }
      throw new Failure('catalogue-gone', `${what} while it was open. ${kept}`, { path })
    },
  }
}

interface Seen {
  readonly identity: string
  readonly sizeBytes: bigint
}

/**
 * Nothing shortens either file while a connection is open: Takeloft neither vacuums in place nor truncates
 * the log, and SQLite writes a log again from its beginning without shortening it.
 */
function watched(path: string, name: string): { harm(): string | null } {
  let before = seen(path)
  return {
    harm() {
      const now = seen(path)
      if (before === null) {
        before = now
        return null
      }
      if (now === null) return `${name} was deleted or moved`
      if (now.identity !== before.identity) return `${name} was replaced by another file`
      if (now.sizeBytes < before.sizeBytes) return `${name} was cut short by another program`
      before = now
      return null
    },
  }
}

/** Null where there is no file. */
function seen(path: string): Seen | null {
  try {
    const found = statSync(path, { bigint: true, throwIfNoEntry: false })
    return found === undefined ? null : { identity: `${found.dev} ${found.ino}`, sizeBytes: found.size }
  } catch {
    return null
  }
}
