// The only way files are created: exclusively under a fresh name, written, synced, and only then given
// their final name, which is refused where something has it already.

import {
  accessSync,
  closeSync,
  constants,
  fsyncSync,
  lstatSync,
  openSync,
  readSync,
  renameSync,
  rmSync,
  writeSync,
} from 'node:fs'
import { dirname, join } from 'node:path'
import { Failure } from '../contract/failure.ts'
import { errorCode, existsFailure, writeFailure } from './file-failures.ts'
import { type FileIdentity, identityOf, isUntouched } from './file-identity.ts'
import { refuseLongName } from './file-names.ts'
import { putInPlace } from './put-in-place.ts'
import { syncFolder } from './sync-folder.ts'
import { freshName, noteFileInside, noteUnfinished } from './unfinished.ts'

/** A file that is being written under a fresh name beside its final one. */
export interface NewFile {
  /** The final name. */
  readonly path: string
  /**
   * Writes all of `bytes` at `position`.
   * @throws Failure 'disk-full' or 'not-writable'; nothing is left then
   */
  write(bytes: Uint8Array, position: number): void
  /**
   * Flushes to the disk and gives the file its name.
   * @throws Failure, 'conflict' where the name exists; nothing is left then
   */
  commit(): void
  /** Removes what was written. Harmless after commit or discard. */
  discard(): void
}

/** Creates the file that a writer fills. */
export type CreateNewFile = (path: string) => NewFile

/** Permissions of a file that only its user may read. */
export const PRIVATE_FILE_MODE = 0o600
const SHARED_FILE_MODE = 0o666

/** @throws Failure 'conflict' where `path` exists, even as a dangling link */
export function refuseExisting(path: string): void {
  let isThere: boolean
  try {
    isThere = lstatSync(path, { throwIfNoEntry: false }) !== undefined
  } catch (error) {
    throw writeFailure(error, path)
  }
  if (isThere) throw existsFailure(path)
}

/**
 * Starts a file that appears under `path` when it is complete.
 * @throws Failure 'conflict' where `path` exists, 'disk-full', 'not-writable', 'invalid-input' (long name)
 */
export const createNewFile: CreateNewFile = (path) => createBeside(path, putInPlace, SHARED_FILE_MODE)

/** As createNewFile, readable by its user alone. */
export const createPrivateFile: CreateNewFile = (path) => createBeside(path, putInPlace, PRIVATE_FILE_MODE)

/**
 * Starts a file that replaces an older one of the program's own.
 * @param isOwn recognizes the program's own file by the first bytes of the existing one
 * @throws as createNewFile; 'conflict' where something else has the name
 */
export function createReplacement(path: string, isOwn: (head: Uint8Array) => boolean): NewFile {
  const replaceOwn = (from: string, to: string): void => {
    refuseForeign(to, isOwn)
    renameSync(from, to)
  }
  return createBeside(path, replaceOwn, SHARED_FILE_MODE)
}

/**
 * Starts a file that replaces an existing ordinary file with the user's consent. Other hard links to
 * that file keep the old bytes.
 * @param agreed identity of the file that the user agreed to replace
 * @throws as createNewFile; 'conflict' when `path` is a link or no longer that file
 */
export function createAgreedReplacement(path: string, agreed: FileIdentity): NewFile {
  refuseLongName(path)
  refuseOther(path, agreed)
  try {
    // rename(2) ignores the permissions of the file that it replaces.
    accessSync(path, constants.W_OK)
  } catch (error) {
    throw writeFailure(error, path)
  }
  const replaceAgreed = (from: string, to: string): void => {
    refuseOther(to, agreed)
    renameSync(from, to)
  }
  return createBeside(path, replaceAgreed, lstatSync(path).mode & 0o777)
}

/**
 * Starts a file inside a folder that is itself unfinished (createNewFolder), under its final name.
 * @throws as createNewFile
 */
export function createFileInside(path: string): NewFile {
  refuseLongName(path)
  noteFileInside(path)
  return startFile({ openPath: path, path, mode: SHARED_FILE_MODE, place: () => {}, ended: () => {} })
}

function createBeside(path: string, place: (from: string, to: string) => void, mode: number): NewFile {
  refuseLongName(path)
  const folder = dirname(path)
  const openPath = join(folder, freshName())
  const note = noteUnfinished(openPath, 'file')
  return startFile({
    openPath,
    path,
    mode,
    place() {
      place(openPath, path)
      syncFolder(folder)
    },
    ended: () => note.finish(),
  })
}

interface Start {
  /** The name that the file is created under. */
  readonly openPath: string
  readonly path: string
  readonly mode: number
  /** Gives the complete file its final name. */
  place(): void
  /** Called once, when the file is in place, discarded or could not be created. */
  ended(): void
}

function startFile({ openPath, path, mode, place, ended }: Start): NewFile {
  let descriptor: number | null = null
  let state: 'to be created' | 'open' | 'ended' = 'to be created'
  descriptor = attempt(() => openSync(openPath, 'wx', mode))
  state = 'open'

  function attempt<Result>(act: () => Result): Result {
    try {
      return act()
    } catch (error) {
      discard()
      throw errorCode(error) === 'EEXIST' ? existsFailure(path, error) : writeFailure(error, path)
    }
  }

  function opened(): number {
    if (state !== 'open' || descriptor === null) throw new Error(`${path} is already finished`)
    return descriptor
  }

  function close(): void {
    if (descriptor === null) return
    // Cleared before closing: closing it again could close another file that has reused the descriptor.
    const open = descriptor
    descriptor = null
    closeSync(open)
  }

  function end(): void {
    state = 'ended'
    ended()
  }

  function discard(): void {
    if (state === 'ended') return
    // If creating failed, a file under that name belongs to somebody else and stays.
    if (state === 'open') removeOpened()
    end()
  }

  function removeOpened(): void {
    try {
      close()
    } catch {
      // The file is removed either way; the error that led here is the one to report.
    }
    try {
      rmSync(openPath, { force: true })
    } catch {
      // Still noted as unfinished, so a later start sweeps it.
    }
  }

  return {
    path,
    write(bytes, position) {
      const to = opened()
      attempt(() => {
        for (let done = 0; done < bytes.length; ) {
          const count = writeSync(to, bytes, done, bytes.length - done, position + done)
          if (count === 0) throw Object.assign(new Error('nothing was written'), { code: 'ENOSPC' })
          done += count
        }
      })
    },
    commit() {
      const to = opened()
      attempt(() => {
        fsyncSync(to)
        // Closing may report a late write error (network disks), so it comes before the rename.
        close()
        place()
      })
      end()
    },
    discard,
  }
}

const HEAD_BYTES = 16

/** @throws Failure 'conflict' where `path` is anything but an empty file or one of the program's own */
function refuseForeign(path: string, isOwn: (head: Uint8Array) => boolean): void {
  const found = lstatSync(path, { throwIfNoEntry: false })
  if (found === undefined) return
  if (!found.isFile() || (found.size > 0 && !isOwn(headOf(path)))) {
    throw new Failure(
      'conflict',
      `${path} is not a file that Takeloft made, so it was left as it is; move it to another place and try again.`,
      { path },
    )
  }
}

/** @throws Failure 'conflict' when `path` is not the ordinary file that was agreed to */
function refuseOther(path: string, agreed: FileIdentity): void {
  if (lstatSync(path, { throwIfNoEntry: false })?.isFile() && isUntouched(identityOf(path), agreed)) return
  throw new Failure(
    'conflict',
    `${path} was changed by another program in the meantime and was left as it is; save again.`,
    { path },
  )
}

function headOf(path: string): Uint8Array {
  const descriptor = openSync(path, 'r')
  try {
    const head = new Uint8Array(HEAD_BYTES)
    return head.subarray(0, readSync(descriptor, head, 0, HEAD_BYTES, 0))
  } finally {
    closeSync(descriptor)
  }
}
