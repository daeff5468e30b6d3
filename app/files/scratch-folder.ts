// A private folder in the system's temporary one, for the length of one act.

import { tmpdir } from 'node:os'
import { PRIVATE_FOLDER_MODE } from './ensure-folder.ts'
import { createNewFolder } from './new-folder.ts'

/** @throws Failure 'disk-full' or 'not-writable' */
export async function withScratchFolder<T>(act: (path: string) => Promise<T>): Promise<T> {
  const folder = createNewFolder(tmpdir(), PRIVATE_FOLDER_MODE)
  try {
    return await act(folder.path)
  } finally {
    folder.discard()
  }
}
