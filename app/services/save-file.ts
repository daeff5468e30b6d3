// A text that the window hands out, such as a chain or a curve, saved where the user says.

import { resolve } from 'node:path'
import { replaceAgreedFile, writeNewFile } from '../files/write-file.ts'
import { refuseGuarded } from './take-guard.ts'
import type { Workplace } from './workplace.ts'

/**
 * Writes `text` to `path`, in place of an ordinary file of that name: whoever chose the name was asked.
 * @param ownFolders as refuseGuarded
 * @throws Failure as refuseGuarded, 'disk-full', 'not-writable'; `path` is then as it was before
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
