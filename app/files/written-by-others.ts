// A file that something else writes by its path, such as a copy made by SQLite, comes into
// being as every other does: under a fresh name, synced, and then under its own.

import { closeSync, fsyncSync, openSync, rmSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { errorCode, existsFailure, writeFailure } from './file-failures.ts'
import { refuseLongName } from './file-names.ts'
import { PRIVATE_FILE_MODE } from './new-file.ts'
import { putInPlace } from './put-in-place.ts'
import { syncFolder } from './sync-folder.ts'
import { freshName, noteUnfinished } from './unfinished.ts'

/**
 * @param write fills the file of the given path, which is there and empty
 * @throws Failure 'conflict' where `path` exists, 'disk-full', 'not-writable'; errors of `write` as they
 *   come. Nothing is left then.
 */
export function createFileBy(path: string, write: (freshPath: string) => void): void {
  refuseLongName(path)
  const freshPath = join(dirname(path), freshName())
  const note = noteUnfinished(freshPath)
  const attempt = <T>(act: () => T): T => {
    try {
      return act()
    } catch (error) {
      throw errorCode(error) === 'EEXIST' ? existsFailure(path, error) : writeFailure(error, path)
    }
  }
  try {
    attempt(() => closeSync(openSync(freshPath, 'wx', PRIVATE_FILE_MODE)))
    write(freshPath)
    attempt(() => {
      sync(freshPath)
      putInPlace(freshPath, path)
    })
    syncFolder(dirname(path))
  } catch (error) {
    try {
      rmSync(freshPath, { force: true })
    } catch {
      // Still noted as unfinished, so a later start sweeps it.
    }
    throw error
  } finally {
    note.finish()
  }
}

function sync(path: string): void {
  const descriptor = openSync(path, 'r+')
  try {
    fsyncSync(descriptor)
  } finally {
    closeSync(descriptor)
  }
}
