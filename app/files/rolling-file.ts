// A text file that grows by appending, such as a log. A full file is renamed with a number, and the
// oldest numbered file is replaced.

import { closeSync, constants, fstatSync, lstatSync, openSync, renameSync, writeSync } from 'node:fs'
import { dirname, extname } from 'node:path'
import { ensureFolder, PRIVATE_FOLDER_MODE } from './ensure-folder.ts'
import { existsFailure } from './file-failures.ts'
import { PRIVATE_FILE_MODE } from './new-file.ts'

/** An open log. */
export interface RollingFile {
  /** @throws the system's error; Failure 'conflict' when the name belongs to something other than a file */
  append(text: string): void
}

/** How large a log grows, and how many full files are kept. */
export interface RollingLimits {
  readonly mostBytes: number
  /** Number of full files to keep; `name.1.log` is the newest. */
  readonly kept: number
}

/** The file is private to its user; the first append creates it and its folder. */
export function createRollingFile(path: string, { mostBytes, kept }: RollingLimits): RollingFile {
  let open: { descriptor: number; bytes: number } | null = null

  const numbered = (number: number): string => {
    const ending = extname(path)
    return `${path.slice(0, path.length - ending.length)}.${number}${ending}`
  }
  const close = (): void => {
    if (open === null) return
    const { descriptor } = open
    open = null
    closeSync(descriptor)
  }
  const opened = (): { descriptor: number; bytes: number } => {
    if (open !== null) return open
    ensureFolder(dirname(path), PRIVATE_FOLDER_MODE)
    // Opening a pipe would block, and a link would lead to another file.
    if (lstatSync(path, { throwIfNoEntry: false })?.isFile() === false) throw existsFailure(path)
    const flags = constants.O_APPEND | constants.O_CREAT | constants.O_WRONLY | (constants.O_NOFOLLOW ?? 0)
    const descriptor = openSync(path, flags, PRIVATE_FILE_MODE)
    open = { descriptor, bytes: fstatSync(descriptor).size }
    return open
  }
  const putAside = (): void => {
    close()
    for (let number = kept - 1; number >= 1; number--) {
      if (lstatSync(numbered(number), { throwIfNoEntry: false }))
        renameSync(numbered(number), numbered(number + 1))
    }
    renameSync(path, numbered(1))
  }

  return {
    append(text) {
      const bytes = Buffer.from(text, 'utf8')
      const { bytes: there } = opened()
      if (there > 0 && there + bytes.length > mostBytes) putAside()
      const file = opened()
      for (let done = 0; done < bytes.length; ) {
        const count = writeSync(file.descriptor, bytes, done)
        done += count
        file.bytes += count
      }
    },
  }
}
