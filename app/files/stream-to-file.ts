// Bytes that arrive one part after another, kept in a file. Asynchronous, so that a large file
// does not hold up the rest of the program.

import { type FileHandle, open } from 'node:fs/promises'
import { writeFailure } from './file-failures.ts'
import { refuseLongName } from './file-names.ts'
import { PRIVATE_FILE_MODE } from './new-file.ts'
import { noteFileInside } from './unfinished.ts'

/**
 * Writes a new file inside an unfinished folder (createNewFolder) and flushes it to the disk.
 * @throws Failure 'disk-full' or 'not-writable'; errors of `parts` as they come. The folder is then to be discarded.
 */
export async function streamToFileInside(path: string, parts: AsyncIterable<Uint8Array>): Promise<void> {
  refuseLongName(path)
  const attempt = <T>(act: Promise<T>): Promise<T> =>
    act.catch((error: unknown) => {
      throw writeFailure(error, path)
    })
  const file = await attempt(createNoted(path))
  try {
    for await (const part of parts) await attempt(file.writeFile(part))
    await attempt(file.sync())
  } finally {
    await attempt(file.close())
  }
}

async function createNoted(path: string): Promise<FileHandle> {
  noteFileInside(path)
  return open(path, 'wx', PRIVATE_FILE_MODE)
}
