// Creates files that belong together as one folder: filled under a fresh name beside the target, and
// renamed when it is complete.

import { lstatSync, mkdirSync, readdirSync, renameSync, rmSync, statSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { errorCode, existsFailure, writeFailure } from './file-failures.ts'
import { type FileIdentity, identityOf, isSameFile } from './file-identity.ts'
import { refuseLongName } from './file-names.ts'
import { putInPlace } from './put-in-place.ts'
import { syncFolder } from './sync-folder.ts'
import {
  freshName,
  hasList,
  noteFileInside,
  noteFolderInside,
  noteUnfinished,
  removeNotedFiles,
  waitingName,
} from './unfinished.ts'

/** A folder that is being filled under a fresh name. */
export interface NewFolder {
  /** Where its files are written (createFileInside). */
  readonly path: string
  /**
   * Makes a folder in it. @param name relative; the folders above it have been made before
   * @throws Failure 'disk-full' or 'not-writable'
   */
  makeFolder(name: string): void
  /**
   * Gives the folder its name, in the folder that it was created in.
   * @throws Failure 'conflict' where `target` exists and is not an empty folder; another name can be tried
   */
  commit(target: string): void
  /**
   * Gives the complete folder a temporary name, for the caller to keep or discard later.
   * @param catalogue path of the catalogue that may take it in; only a start with this one removes it
   * @throws Failure as commit
   */
  commitForNow(catalogue: string): WaitingFolder
  /**
   * Removes what was made in the folder, and the folder unless something else is in it. Harmless after
   * commit or discard.
   */
  discard(): void
}

/** A complete folder that is removed after the program ends, at the latest, unless it is kept. */
export interface WaitingFolder {
  readonly path: string
  keep(): void
  /** Removes the folder with all that is in it, kept or not. */
  discard(): void
}

/** Errors of rename(2) where the name is taken: a folder with something in it, a file, a mount point. */
const TAKEN = ['ENOTEMPTY', 'EEXIST', 'ENOTDIR', 'EBUSY']

/**
 * Starts a folder in `parent`.
 * @param kind `own` where only the program writes into it, subfolders too: everything in it is then removed
 *   with it. `folder`: only the files that were noted for it (createFileInside) are removed
 * @throws Failure 'disk-full' or 'not-writable'
 */
export function createNewFolder(parent: string, mode = 0o777, kind: 'folder' | 'own' = 'folder'): NewFolder {
  const path = join(parent, freshName())
  const note = noteUnfinished(path, kind)
  const inner: string[] = []
  let isFinished = false
  let identity: FileIdentity
  try {
    mkdirSync(path, { mode })
    identity = identityOf(path)
  } catch (error) {
    note.finish()
    throw writeFailure(error, path)
  }
  const commit = (target: string): void => {
    if (isFinished) throw new Error(`${path} is already finished`)
    if (dirname(target) !== parent) throw new RangeError(`${target} is not in ${parent}`)
    refuseLongName(target)
    for (const one of [...inner, path]) syncFolder(one)
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
    makeFolder(name) {
      const folder = join(path, name)
      noteFolderInside(folder)
      try {
        mkdirSync(folder, { mode })
      } catch (error) {
        throw writeFailure(error, folder)
      }
      inner.push(folder)
    },
    commit,
    commitForNow(catalogue) {
      const target = join(parent, waitingName())
      // Before the rename, so that the folder is in the journal at every moment.
      const waiting = noteUnfinished(target, 'own', catalogue)
      try {
        commit(target)
      } catch (error) {
        waiting.finish()
        throw error
      }
      return {
        path: target,
        keep: waiting.keep,
        discard() {
          removeMade(target, 'own')
          waiting.finish()
        },
      }
    },
    discard() {
      if (isFinished) return
      isFinished = true
      // Somebody may have put another folder or a link in its place.
      if (isSameFolder(path, identity)) removeMade(path, kind)
      note.finish()
    },
  }
}

function removeMade(path: string, kind: 'folder' | 'own'): void {
  if (kind === 'folder' && hasList(path)) {
    removeNotedFiles(path)
    return
  }
  try {
    rmSync(path, { recursive: true, force: true, maxRetries: 3 })
  } catch {
    // Still noted as unfinished, so a later start sweeps it.
  }
}

function isSameFolder(path: string, identity: FileIdentity): boolean {
  try {
    return lstatSync(path).isDirectory() && isSameFile(identityOf(path), identity)
  } catch {
    return false
  }
}

/**
 * Renames a file inside an unfinished folder.
 * @throws Failure 'conflict' where the name exists, 'not-writable'
 */
export function renameInside(from: string, to: string): void {
  noteFileInside(to)
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
 * Frees the name of a useless file or folder of the program's own by renaming it; a later start
 * removes it. @throws Failure 'not-writable'
 */
export function moveAside(path: string): void {
  const aside = join(dirname(path), freshName())
  const note = noteUnfinished(aside, 'own')
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
    // Its contents are unknown.
    return false
  }
}

function isTaken(error: unknown, target: string): boolean {
  const code = errorCode(error)
  if (TAKEN.includes(code)) return true
  // Windows gives these for any name that is taken, even by an empty folder.
  return (code === 'EPERM' || code === 'EACCES') && statSync(target, { throwIfNoEntry: false }) !== undefined
}
