// Creates a folder and its missing parents, or fails with the reason. One level at a time, because
// Node's recursive mkdir never returns on a file system that gives ENOENT inside an existing folder.

import { existsSync, mkdirSync, rmdirSync, statSync } from 'node:fs'
import { dirname } from 'node:path'
import { Failure } from '../contract/failure.ts'
import { errorCode, writeFailure } from './file-failures.ts'
import { refuseLongName } from './file-names.ts'
import { syncFolder } from './sync-folder.ts'

/** Permissions of a folder that only its user may enter. */
export const PRIVATE_FOLDER_MODE = 0o700
const SHARED_FOLDER_MODE = 0o777

/**
 * @returns the folders that were missing, the outermost first
 * @throws Failure as writeFailure; `not-writable` where a file has that name or no folders can be made there
 */
export function ensureFolder(path: string, mode = SHARED_FOLDER_MODE): readonly string[] {
  if (isFolder(path)) return []
  refuseLongName(path)
  const above = dirname(path)
  const made = above !== path && !existsSync(above) ? [...ensureFolder(above, mode)] : []
  try {
    mkdirSync(path, { mode })
    made.push(path)
    syncFolder(above)
  } catch (error) {
    // Another process may have made it in the meantime.
    if (!isFolder(path)) {
      removeMadeFolders(made)
      throw refusalOf(error, path, above)
    }
  }
  return made
}

/** Removes the folders that ensureFolder created if they are still empty. */
export function removeMadeFolders(made: readonly string[]): void {
  for (const folder of made.toReversed()) {
    try {
      rmdirSync(folder)
    } catch {
      // It is no longer empty, so it and its parents stay.
      return
    }
  }
}

const isFolder = (path: string): boolean => {
  try {
    return statSync(path, { throwIfNoEntry: false })?.isDirectory() === true
  } catch {
    // It cannot be checked; creating it will fail with the reason.
    return false
  }
}

function refusalOf(error: unknown, path: string, above: string): Failure {
  const failure = writeFailure(error, path)
  if (error instanceof Failure) return failure
  const refuse = (sentence: string): Failure => new Failure('not-writable', sentence, failure.details, error)
  if (existsSync(path)) return refuse(`${path} is a file, not a folder; choose a folder.`)
  return errorCode(error) === 'ENOENT' && existsSync(above)
    ? refuse(`No folder can be made in ${above}; choose another.`)
    : failure
}
