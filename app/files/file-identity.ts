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
}

/** @throws Failure 'not-found' or 'not-readable' */
export function identityOf(path: string): FileIdentity {
  try {
    const { dev, ino, size, mtimeNs, ctimeNs } = statSync(path, { bigint: true })
    return { device: dev, inode: ino, sizeBytes: size, modifiedNs: mtimeNs, changedNs: ctimeNs }
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
