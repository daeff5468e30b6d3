// Saves text from the window, such as a chain or a curve, at a path that the user chose.

import { resolve } from 'node:path'
import { replaceAgreedFile, writeNewFile } from '../files/write-file.ts'
import { refuseGuarded } from './takes/take-guard.ts'
import type { Workplace } from './workplace.ts'

/**
 * Writes `text` to `path` and replaces an ordinary file there. The caller must have asked the user first.
 * @param ownFolders as refuseGuarded
 * @throws Failure as refuseGuarded, 'disk-full', 'not-writable'; `path` is then unchanged
 */
export async function saveFile(
  workplace: Pick<Workplace, 'catalogue' | 'folders'>,
  path: string,
  text: string,
  ownFolders: readonly string[] = [],
): Promise<void> {
  const target = resolve(path)
  const replaced = await refuseGuarded(workplace, target, ownFolders)
  if (replaced === null) writeNewFile(target, text)
  else replaceAgreedFile(target, text, replaced)
}
