// A private folder in the system's temporary one, for the duration of one operation.

import { lstatSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname } from 'node:path'
import { PRIVATE_FOLDER_MODE } from './ensure-folder.ts'
import { createNewFolder } from './new-folder.ts'
import { sweepUnfinished } from './unfinished.ts'

/** @throws Failure 'disk-full' or 'not-writable' */
export async function withScratchFolder<T>(act: (path: string) => Promise<T>): Promise<T> {
  sweepUnfinished(isDelivery)
  const folder = createNewFolder(tmpdir(), PRIVATE_FOLDER_MODE, 'own')
  try {
    return await act(folder.path)
  } finally {
    folder.discard()
  }
}

/** Unfinished deliveries are left to code with the catalogue: their stems may have been imported as takes. */
const isDelivery = (path: string): boolean =>
  lstatSync(path, { throwIfNoEntry: false })?.isDirectory() === true && dirname(path) !== tmpdir()
