// Detects that a catalogue's file, or SQLite's log beside it, was deleted, replaced or truncated while it
// was open. SQLite keeps writing to a deleted file, and all those writes would be lost when it is closed.

import type { Database } from 'better-sqlite3'
import { Failure } from '../../app/contract/failure.ts'
import { identityIfAny, isSameFile } from '../../app/files/file-identity.ts'
import { rescuer } from './rescue.ts'

/** Detects that a catalogue's file or log was deleted, replaced or truncated. */
export interface FileWatch {
  /** Call before every write, because a truncated file grows again with the next one. */
  look(): void
  /**
   * Call after every write.
   * @throws Failure `catalogue-gone`, after trying to keep everything that was saved in another file
   */
  refuseGone(): void
}

/** @param db open on the file at `path` */
export function watchFile(db: Database, path: string): FileWatch {
  const rescue = rescuer(db, path)
  const file = watched(path, `The catalogue ${path}`)
  // The log is created by the first write, or was left by another connection.
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

/**
 * A smaller size means damage, because nothing shortens either file while a connection is open: Takeloft
 * neither vacuums in place nor truncates the log, and SQLite restarts a log from its beginning without
 * shortening it.
 */
function watched(path: string, name: string): { harm(): string | null } {
  let before = identityIfAny(path)
  return {
    harm() {
      const now = identityIfAny(path)
      if (before === null) {
        before = now
        return null
      }
      if (now === null) return `${name} was deleted or moved`
      if (!isSameFile(now, before)) return `${name} was replaced by another file`
      if (now.sizeBytes < before.sizeBytes) return `${name} was cut short by another program`
      before = now
      return null
    },
  }
}
