// Several files that belong together come into being as one folder: written under a name of
// its own beside the target, and renamed when all of it is whole.

import { lstatSync, mkdirSync, readdirSync, renameSync, rmSync, statSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { errorCode, existsFailure, writeFailure } from './file-failures.ts'
import { refuseLongName } from './file-names.ts'
import { putInPlace } from './put-in-place.ts'
import { syncFolder } from './sync-folder.ts'
import { freshName, noteUnfinished, type Unfinished, waitingName } from './unfinished.ts'

export interface NewFolder {
  /** Where its files are written (createFileInside). */
  readonly path: string
  /**
   * Gives the folder its name, in the folder that it was created in.
   * @throws Failure 'conflict' where `target` exists and is not an empty folder; another name may then be tried
   */
  commit(target: string): void
  /**
   * Gives the folder a name of its own and leaves it to whoever may want it.
   * @throws Failure as commit
   */
  commitForNow(): WaitingFolder
  /** Removes the folder with all that is in it. Harmless after commit or discard. */
  discard(): void
}

/** A whole folder that goes again, with the program at the latest, unless it is kept. */
export interface WaitingFolder {
  readonly path: string
  keep(): void
  /** Removes the folder with all that is in it, kept or not. */
  discard(): void
}

/** What rename(2) answers where the name is taken: a folder with something in it, a file, a mount point. */
const TAKEN = ['ENOTEMPTY', 'EEXIST', 'ENOTDIR', 'EBUSY']

/**
 * Starts a folder in `parent`.
 * @throws Failure 'disk-full' or 'not-writable'
 */
export function createNewFolder(parent: string, mode = 0o777): NewFolder {
  const path = join(parent, freshName())
  const note = noteUnfinished(path)
  let isFinished = false
  try {
    mkdirSync(path, { mode })
  } catch (error) {
    note.finish()
    throw writeFailure(error, path)
  }
  const commit = (target: string): void => {
    if (isFinished) throw new Error(`${path} is already finished`)
    if (dirname(target) !== parent) throw new RangeError(`${target} is not in ${parent}`)
    refuseLongName(target)
    syncFolder(path)
    try {
      if (!isFree(target)) throw existsFailure(target)
      renameSync(path, target)
    } catch (error) {
      throw isTaken(error, target) ? existsFailure(target, error) : writeFailure(error, target)
    }
    isFinished = true
    syncFolder(parent)
    note.finish()
  }
  return {
    path,
    commit,
    commitForNow() {
      const target = join(parent, waitingName())
      // Before the folder has that name, so that there is no moment in which nobody knows of it.
      const waiting = noteUnfinished(target)
      try {
        commit(target)
      } catch (error) {
        waiting.finish()
        throw error
      }
      return { path: target, keep: waiting.keep, discard: () => removeNoted(target, waiting) }
    },
    discard() {
      if (isFinished) return
      isFinished = true
      removeNoted(path, note)
    },
  }
}

function removeNoted(path: string, note: Unfinished): void {
  try {
    rmSync(path, { recursive: true, force: true, maxRetries: 3 })
  } catch {
    // Still noted as unfinished, so a later start sweeps it.
  }
  note.finish()
}

/** Renames a file inside an unfinished folder. @throws Failure 'conflict' where the name exists, 'not-writable' */
export function renameInside(from: string, to: string): void {
  try {
    putInPlace(from, to)
  } catch (error) {
    throw errorCode(error) === 'EEXIST' ? existsFailure(to, error) : writeFailure(error, to)
  }
}

/** Removes a file inside an unfinished folder. @throws Failure 'not-writable' */
export function removeInside(path: string): void {
  try {
    rmSync(path)
  } catch (error) {
    throw writeFailure(error, path)
  }
}

/**
 * Takes the name from a file or folder of the program's own that has become useless; a later
 * start removes it. @throws Failure 'not-writable'
 */
export function setAside(path: string): void {
  const aside = join(dirname(path), freshName())
  const note = noteUnfinished(aside)
  try {
    renameSync(path, aside)
  } catch (error) {
    throw writeFailure(error, path)
  } finally {
    note.finish()
  }
}

/** Whether a folder can take this name: nothing has it, or an empty folder, which rename(2) replaces. */
export function isFree(path: string): boolean {
  const found = lstatSync(path, { throwIfNoEntry: false })
  if (found === undefined) return true
  try {
    return found.isDirectory() && readdirSync(path).length === 0
  } catch {
    // Nobody can say what is in it.
    return false
  }
}

function isTaken(error: unknown, target: string): boolean {
  const code = errorCode(error)
  if (TAKEN.includes(code)) return true
  // What Windows answers for any name that is taken, an empty folder's too.
  return (code === 'EPERM' || code === 'EACCES') && statSync(target, { throwIfNoEntry: false }) !== undefined
}
