// Identifies a file and its last change, to detect that it changed while it was in use.

import { statSync } from 'node:fs'
import { readFailure } from './file-failures.ts'

/** What shows whether a path still leads to the same file with the same contents. */
export interface FileIdentity {
  readonly device: bigint
  readonly inode: bigint
  readonly sizeBytes: bigint
  readonly modifiedNs: bigint
  /** Time of the last change to contents, links or permissions. */
  readonly changedNs: bigint
  /** Whether it is an ordinary file: no folder, device or pipe. */
  readonly isFile: boolean
}

/** @throws Failure 'not-found' or 'not-readable' */
export function identityOf(path: string): FileIdentity {
  try {
    const found = statSync(path, { bigint: true })
    const { dev, ino, size, mtimeNs, ctimeNs } = found
    const times = { modifiedNs: mtimeNs, changedNs: ctimeNs }
    return { device: dev, inode: ino, sizeBytes: size, ...times, isFile: found.isFile() }
  } catch (error) {
    throw readFailure(error, path)
  }
}

/** null where nothing is at `path`, or it cannot be reached. */
export function identityIfAny(path: string): FileIdentity | null {
  try {
    return identityOf(path)
  } catch {
    return null
  }
}

/** Whether file, size and modification time are the same. */
export const isUntouched = (now: FileIdentity, before: FileIdentity): boolean =>
  isSameFile(now, before) && now.sizeBytes === before.sizeBytes && now.modifiedNs === before.modifiedNs

/** Whether both identify the same file or folder, under any name. */
export const isSameFile = (a: FileIdentity, b: FileIdentity): boolean =>
  a.device === b.device && a.inode === b.inode
