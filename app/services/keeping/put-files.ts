// Puts single files into a bag while it is filled, and lists them with their hashes.

import { createHash } from 'node:crypto'
import { statSync } from 'node:fs'
import { join } from 'node:path'
import { isPortablePath } from '../../bag/bag-paths.ts'
import type { ListedFile } from '../../bag/bag-texts.ts'
import type { SessionContents } from '../../contract/entities.ts'
import type { CallContext } from '../../contract/wire/commands.ts'
import { copyFileInside } from '../../files/copy-file.ts'
import { linkFileInside } from '../../files/link-file.ts'
import { createFileInside } from '../../files/new-file.ts'
import { writeNewFile } from '../../files/write-file.ts'
import type { Workplace } from '../workplace.ts'
import type { OlderBags } from './older-bags.ts'

/** A bag while it is being filled. */
export interface Filling {
  readonly workplace: Workplace
  readonly context: CallContext
  readonly contents: SessionContents
  readonly uuid: string
  readonly older: OlderBags
  /** The unfinished folder. */
  readonly root: string
  readonly files: (ListedFile & { readonly sizeBytes: number; readonly isLinked: boolean })[]
  readonly remarks: string[]
}

/** Links a file of an older archive, after reading it; false where there is none with these bytes. */
export async function putLink(
  { workplace, context, older, ...filling }: Filling,
  path: string,
  sha256: string,
): Promise<boolean> {
  for (const from of older.filesOf(sha256)) {
    const hash = await workplace.pool
      .run('hashFile', { path: from }, { signal: context.signal })
      .catch((error: unknown) => {
        if (context.signal.aborted) throw error
        return null
      })
    if (hash !== sha256) {
      filling.remarks.push(
        `${from} in an older archive is missing or damaged, so it was not used; that archive is not whole any more.`,
      )
      continue
    }
    const how = await linkFileInside(from, join(filling.root, path))
    list(filling, path, sha256, how === 'linked')
    return true
  }
  return false
}

/** Copies a file of a bounce or a delivery without listing it. @returns the hash of the copy */
export const putCopy = ({ root, context }: Filling, from: string, path: string): Promise<string> =>
  copyFileInside(from, join(root, path), 'a file that went out', context.signal, () => {})

export function list(
  { root, files }: Pick<Filling, 'root' | 'files'>,
  path: string,
  sha256: string,
  isLinked: boolean,
): void {
  if (!isPortablePath(path)) throw new RangeError(`${path} cannot be the name of a file in a bag`)
  files.push({ path, sha256, sizeBytes: statSync(join(root, path)).size, isLinked })
}

export function putFile(filling: Filling, path: string, data: string | Uint8Array): void {
  writeNewFile(join(filling.root, path), data, createFileInside)
  list(filling, path, createHash('sha256').update(data).digest('hex'), false)
}
