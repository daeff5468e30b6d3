// Gives a finished file its name without ever replacing what has that name. Node has no
// rename that refuses to replace, so a hard link does it: link(2) fails where the name exists,
// even as a symbolic link or, on a case-insensitive disk, in another case.

import { closeSync, fstatSync, linkSync, lstatSync, openSync, renameSync, rmSync, unlinkSync } from 'node:fs'
import { errorCode } from './file-failures.ts'

/** Errors of link(2) on disks without hard links (FAT, some network disks) or where no more are allowed. */
const NO_LINKS = ['EPERM', 'ENOTSUP', 'EOPNOTSUPP', 'ENOSYS', 'EMLINK']

/**
 * Renames `from` to `to`.
 * @throws the system's error, EEXIST where `to` exists; `from` is then still there
 */
export function putInPlace(from: string, to: string): void {
  try {
    linkSync(from, to)
  } catch (error) {
    if (!NO_LINKS.includes(errorCode(error))) throw error
    renameOntoPlaceholder(from, to)
    return
  }
  try {
    unlinkSync(from)
  } catch {
    // The file has its final name; a later start removes the first one.
  }
}

/** Reserves the name with an empty file, which the rename may then replace. */
function renameOntoPlaceholder(from: string, to: string): void {
  const descriptor = openSync(to, 'wx')
  const { ino } = fstatSync(descriptor)
  closeSync(descriptor)
  const isPlaceholder = (): boolean => {
    const found = lstatSync(to, { throwIfNoEntry: false })
    return found?.isFile() === true && found.ino === ino && found.size === 0
  }
  try {
    if (!isPlaceholder()) throw Object.assign(new Error(`${to} was replaced`), { code: 'EEXIST' })
    renameSync(from, to)
  } catch (error) {
    if (isPlaceholder()) rmSync(to, { force: true })
    throw error
  }
}
