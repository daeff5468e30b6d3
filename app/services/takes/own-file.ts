// A file that may become the own file of a take. One in an archive or a delivery may not: those are moved and deleted as
// a whole, archives share their files with one another, and nobody expects that a session reads them.

import { existsSync } from 'node:fs'
import { basename, dirname, join, resolve } from 'node:path'
import type { Take } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import { namingAskedFor } from '../../files/asked-for.ts'
import { copyFileInside } from '../../files/copy-file.ts'
import { ensureFolder } from '../../files/ensure-folder.ts'
import { createNewFolder, renameInside } from '../../files/new-folder.ts'
import { keptFolderFrom } from '../bounces/delivery-folder.ts'
import { expectedPath, withoutHash } from '../history/gather-history.ts'
import type { Workplace } from '../workplace.ts'
import { catalogueRoot } from './take-files.ts'

/** Whether the path is in a bag, a bounce or a delivery. */
export const isInKeptFolder = (path: string): boolean => keptFolderFrom(dirname(path)) !== null

/**
 * Copies a take out of the archive or delivery that it was found in: to where it was, else beside the catalogue.
 * @param path absolute; a file with the bytes of the take
 * @returns `path` itself where it is in neither
 * @throws Failure of reading or writing, `changed`, 'cancelled'
 */
export async function ownFileOf(
  { catalogue, pool, warn }: Pick<Workplace, 'catalogue' | 'pool' | 'warn'>,
  take: Pick<Take, 'sha256' | 'name' | 'path'>,
  path: string,
  signal: AbortSignal,
): Promise<string> {
  const kept = keptFolderFrom(dirname(path))?.folder
  if (kept === undefined) return path
  const root = catalogueRoot(catalogue.path)
  const former = resolve(root, take.path)
  const beside = resolve(root, expectedPath(take.sha256, withoutHash(basename(path), take.sha256)))
  const isUsable = existsSync(dirname(former)) && !existsSync(former) && !isInKeptFolder(former)
  const target = isUsable ? former : beside
  if (existsSync(target)) {
    if ((await pool.run('hashFile', { path: target }, { signal })) === take.sha256) return target
    throw new Failure(
      'conflict',
      `The take ${take.name} was found in ${kept} and has to be copied out of it, but ${target} is another file; move that one away.`,
      { path: target },
    )
  }
  ensureFolder(dirname(target))
  const unfinished = createNewFolder(dirname(target))
  try {
    const copy = join(unfinished.path, basename(target))
    if ((await copyFileInside(path, copy, 'a recording', signal, () => {})) !== take.sha256) {
      throw new Failure('changed', `${path} changed while it was copied; try again.`, { path })
    }
    renameInside(copy, target)
  } catch (error) {
    throw namingAskedFor(error, dirname(target))
  } finally {
    unfinished.discard()
  }
  warn(
    `The take ${take.name} was copied to ${target}. It was found in ${kept}, which may be moved or deleted, so that file is not used itself.`,
  )
  return target
}
