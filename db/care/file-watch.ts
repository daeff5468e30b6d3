// Notices that a catalogue's file was deleted or replaced while it was open. SQLite goes on
// writing into a file that has no name any more, and all of it would be gone at the end.

import { statSync } from 'node:fs'
import { homedir } from 'node:os'
import { basename, dirname, extname, join } from 'node:path'
import type { Database } from 'better-sqlite3'
import { Failure } from '../../app/contract/failure.ts'
import { setAside } from '../../app/files/new-folder.ts'
import { createFileBy } from '../../app/files/written-by-others.ts'

/** Notices that a catalogue’s file was deleted or replaced. */
export interface FileWatch {
  /**
   * To be called after every write.
   * @throws Failure `catalogue-gone`, after everything that was saved was kept in another file
   */
  refuseGone(): void
}

/** @param db open on the file at `path` */
export function watchFile(db: Database, path: string): FileWatch {
  const opened = identityOf(path)
  let rescued: string | null = null

  /** The newest copy takes the place of the one before. */
  function rescue(): string {
    const former = rescued
    rescued = rescueInto(db, [dirname(path), homedir()], path)
    if (former !== null) setAside(former)
    return rescued
  }

  return {
    refuseGone() {
      const found = identityOf(path)
      if (found !== null && found === opened) return
      const what = found === null ? 'was deleted or moved' : 'was replaced by another file'
      throw new Failure(
        'catalogue-gone',
        `The catalogue ${path} ${what} while it was open. All that was saved, this change too, was kept in ${rescue()}; close Takeloft and open that file, or put it back in the catalogue’s place.`,
        { path },
      )
    },
  }
}

function rescueInto(db: Database, folders: readonly string[], path: string): string {
  const now = new Date().toISOString().slice(0, 23).replaceAll(':', '.')
  const name = `${basename(path, extname(path))} rescued ${now}${extname(path)}`
  let failure: unknown
  for (const folder of folders) {
    try {
      const rescued = join(folder, name)
      createFileBy(rescued, (freshPath) => db.prepare('VACUUM INTO ?').run(freshPath))
      return rescued
    } catch (error) {
      failure = error
    }
  }
  throw failure
}

/** Device and inode; null where there is no file. */
function identityOf(path: string): string | null {
  try {
    const found = statSync(path, { bigint: true, throwIfNoEntry: false })
    return found === undefined ? null : `${found.dev} ${found.ino}`
  } catch {
    return null
  }
}
