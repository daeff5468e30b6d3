// Gives a file a second name, or copies it where the disk allows no second name.

import { constants } from 'node:fs'
import { copyFile, link, open } from 'node:fs/promises'
import { errorCode, writeFailure } from './file-failures.ts'
import { noteFileInside } from './unfinished.ts'

/** Errors of link(2): another disk, a disk without hard links, too many links, a file of another user. */
const NO_LINK = ['EXDEV', 'EPERM', 'EMLINK', 'ENOTSUP', 'EOPNOTSUPP', 'ENOSYS', 'EACCES']

/**
 * Puts the bytes of `from` at `to` inside an unfinished folder: by a hard link, else by a clone or a copy.
 * @returns 'linked' where both names lead to one file, so that they are one copy
 * @throws Failure of writing
 */
export async function linkFileInside(from: string, to: string): Promise<'linked' | 'copied'> {
  noteFileInside(to)
  try {
    await link(from, to)
    return 'linked'
  } catch (error) {
    if (!NO_LINK.includes(errorCode(error))) throw writeFailure(error, to)
  }
  try {
    await copyFile(from, to, constants.COPYFILE_EXCL | constants.COPYFILE_FICLONE)
    const copy = await open(to, 'r+')
    try {
      await copy.sync()
    } finally {
      await copy.close()
    }
    return 'copied'
  } catch (error) {
    throw writeFailure(error, to)
  }
}
