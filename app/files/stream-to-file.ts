// Writes bytes that arrive in parts to a file. Asynchronous, so that a large file does not block the
// rest of the program.

import { open } from 'node:fs/promises'
import { writeFailure } from './file-failures.ts'
import { refuseLongName } from './file-names.ts'
import { PRIVATE_FILE_MODE } from './new-file.ts'
import { noteFileInside } from './unfinished.ts'

/**
 * Writes a new file inside an unfinished folder (createNewFolder) and flushes it to the disk.
 * @throws Failure 'disk-full' or 'not-writable'; errors of `parts` unchanged. The caller then has to discard
 *   the folder
 */
export async function streamToFileInside(path: string, parts: AsyncIterable<Uint8Array>): Promise<void> {
  refuseLongName(path)
  const attempt = <T>(act: Promise<T>): Promise<T> =>
    act.catch((error: unknown) => {
      throw writeFailure(error, path)
    })
  noteFileInside(path)
  const file = await attempt(open(path, 'wx', PRIVATE_FILE_MODE))
  try {
    for await (const part of parts) await attempt(file.writeFile(part))
    await attempt(file.sync())
  } finally {
    await attempt(file.close())
  }
}
