// What may not be written to, however a path names it: takes, the catalogue and all that belongs
// to it, and what was delivered.

import { lstatSync, realpathSync, type Stats } from 'node:fs'
import { stat } from 'node:fs/promises'
import { basename, dirname, join, resolve } from 'node:path'
import { hashFile } from '../audio/sha256.ts'
import { Failure } from '../contract/failure.ts'
import { type FileIdentity, identityOf, isSameFile } from '../files/file-identity.ts'
import { refuseInsideDelivery } from './delivery-folder.ts'
import { catalogueRoot } from './take-files.ts'
import type { Workplace } from './workplace.ts'

type Guarded = Pick<Workplace, 'catalogue' | 'folders'>

/** Files that are asked for at a time: enough to keep the system busy, without a handle for each take. */
const ASKED_AT_ONCE = 64

/**
 * @param ownFolders further folders of the program
 * @returns which file has that name now; null where there is none
 * @throws Failure 'conflict' where nothing may be written under that name; 'not-readable' where what
 *   is there cannot be compared with the takes
 */
export async function refuseGuarded(
  workplace: Guarded,
  path: string,
  ownFolders: readonly string[] = [],
): Promise<FileIdentity | null> {
  const { catalogue, folders } = workplace
  const real = withRealFolder(path)
  refuseOwnFolder(real, [...Object.values(folders), ...ownFolders])
  refuseCatalogueName(catalogue.path, real)
  refuseInsideDelivery(real)
  const found = lstatSync(path, { throwIfNoEntry: false })
  if (found === undefined) return null
  refuseNoOrdinaryFile(path, found)
  const identity = identityOf(path)
  await refuseTake(workplace, path, identity)
  return identity
}

/** By which folder it is, whatever its name, so that another spelling leads nowhere. */
function refuseOwnFolder(path: string, ownFolders: readonly string[]): void {
  const own = ownFolders.flatMap((folder) => identityOfFolder(folder) ?? [])
  for (const folder of foldersAbove(path)) {
    const identity = identityOfFolder(folder)
    if (identity === null || !own.some((one) => isSameFile(one, identity))) continue
    throw new Failure(
      'conflict',
      `${path} lies in ${folder}, where Takeloft keeps its own files; choose another folder.`,
      { path, folder },
    )
  }
}

/** The file, its log and its copies all begin with its name. */
function refuseCatalogueName(cataloguePath: string, path: string): void {
  const [folder, own] = [dirname(path), dirname(cataloguePath)].map(identityOfFolder)
  const name = basename(path).toLowerCase()
  if (folder === null || own === null || !isSameFile(folder, own)) return
  if (!name.startsWith(basename(cataloguePath).toLowerCase())) return
  throw new Failure('conflict', `${path} belongs to the catalogue that is open; choose another name.`, {
    path,
  })
}

function refuseNoOrdinaryFile(path: string, found: Stats): void {
  if (found.isFile()) return
  const what = found.isSymbolicLink()
    ? 'a link to something else'
    : found.isDirectory()
      ? 'a folder'
      : 'no ordinary file'
  throw new Failure('conflict', `${path} is ${what} and was left as it is; choose another name.`, { path })
}

/** By the file itself, under whatever name, and by its bytes. */
async function refuseTake({ catalogue }: Guarded, path: string, identity: FileIdentity): Promise<void> {
  const root = catalogueRoot(catalogue.path)
  const takes = catalogue.takes.listPaths()
  for (let k = 0; k < takes.length; k += ASKED_AT_ONCE) {
    const some = takes.slice(k, k + ASKED_AT_ONCE)
    const same = await Promise.all(some.map((take) => isFileOf(resolve(root, take.path), identity)))
    const take = some[same.indexOf(true)]
    if (take !== undefined) throw takeFailure(path, take.name)
  }
  const known = catalogue.takes.findBySha256(await hashFile(path))
  if (known !== undefined) throw takeFailure(path, known.name)
}

async function isFileOf(path: string, { device, inode }: FileIdentity): Promise<boolean> {
  // A take that is not there is no take under another name.
  const found = await stat(path, { bigint: true }).catch(() => null)
  return found !== null && found.dev === device && found.ino === inode
}

const takeFailure = (path: string, name: string): Failure =>
  new Failure(
    'conflict',
    `${path} is the take ${name}, and takes are never written to; choose another name.`,
    { path, take: name },
  )

/** The path without links above its last part, which lead elsewhere than their names say. */
function withRealFolder(path: string): string {
  try {
    return join(realpathSync(dirname(path)), basename(path))
  } catch {
    // There is no such folder; writing will say so.
    return path
  }
}

function* foldersAbove(path: string): Generator<string> {
  for (let folder = dirname(path); ; folder = dirname(folder)) {
    yield folder
    if (folder === dirname(folder)) return
  }
}

function identityOfFolder(path: string): FileIdentity | null {
  try {
    return identityOf(path)
  } catch {
    // Not there, so nothing is in it.
    return null
  }
}
