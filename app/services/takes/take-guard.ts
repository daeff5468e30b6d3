// Refuses paths that must not be written to: takes under any name, the catalogue with its files and
// folders, and deliveries.

import { lstatSync, realpathSync, type Stats } from 'node:fs'
import { stat } from 'node:fs/promises'
import { basename, dirname, join, resolve } from 'node:path'
import { hashFile } from '../../audio/sha256.ts'
import { Failure } from '../../contract/failure.ts'
import { type FileIdentity, identityIfAny, identityOf, isSameFile } from '../../files/file-identity.ts'
import { refuseInsideKept } from '../bounces/delivery-folder.ts'
import type { Workplace } from '../workplace.ts'
import { catalogueRoot } from './take-files.ts'

type Guarded = Pick<Workplace, 'catalogue' | 'folders'>

/** Concurrent stat calls: enough to keep the system busy. */
const ASKED_AT_ONCE = 64

/**
 * @param ownFolders further folders of the program
 * @returns identity of the file at `path`; null when there is none
 * @throws Failure 'conflict' when `path` must not be written to; 'not-readable' when the file there cannot
 *   be compared with the takes
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
  refuseInsideKept(real)
  const found = lstatSync(path, { throwIfNoEntry: false })
  if (found === undefined) return null
  refuseNoOrdinaryFile(path, found)
  const identity = identityOf(path)
  await refuseTake(workplace, path, identity)
  return identity
}

/** Compares folders by identity, so that another spelling of a path makes no difference. */
function refuseOwnFolder(path: string, ownFolders: readonly string[]): void {
  const own = ownFolders.flatMap((folder) => identityIfAny(folder) ?? [])
  for (const folder of foldersAbove(path)) {
    const identity = identityIfAny(folder)
    if (identity === null || !own.some((one) => isSameFile(one, identity))) continue
    throw new Failure(
      'conflict',
      `${path} is in ${folder}, where Takeloft keeps its own files; choose another folder.`,
      { path, folder },
    )
  }
}

/** Behind the catalogue's name: SQLite's files beside it, and copies that are kept before migrations, with theirs. */
const OF_CATALOGUE = /^(\.before-\d+(-\d+)?)?(-wal|-shm|-journal)?$/

/** The catalogue, its log and its copies, also where they are not there at the moment; in any case of letters. */
function refuseCatalogueName(cataloguePath: string, path: string): void {
  const [folder, own] = [dirname(path), dirname(cataloguePath)].map(identityIfAny)
  if (folder === null || own === null || !isSameFile(folder, own)) return
  const [name, catalogue] = [path, cataloguePath].map((one) => basename(one).toLowerCase())
  if (!name.startsWith(catalogue) || !OF_CATALOGUE.test(name.slice(catalogue.length))) return
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

/** Compares by file identity, which finds other names, and by hash, which finds copies. */
async function refuseTake({ catalogue }: Guarded, path: string, identity: FileIdentity): Promise<void> {
  const root = catalogueRoot(catalogue.path)
  const takes = catalogue.takes.listPlaces()
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
  // A missing take has no identity to compare.
  const found = await stat(path, { bigint: true }).catch(() => null)
  return found !== null && found.dev === device && found.ino === inode
}

const takeFailure = (path: string, name: string): Failure =>
  new Failure(
    'conflict',
    `${path} is the take ${name}, and takes are never written to; choose another name.`,
    { path, take: name },
  )

/** Resolves links in the folders of the path. */
function withRealFolder(path: string): string {
  try {
    return join(realpathSync(dirname(path)), basename(path))
  } catch {
    // The folder does not exist; writing reports that.
    return path
  }
}

function* foldersAbove(path: string): Generator<string> {
  for (let folder = dirname(path); ; folder = dirname(folder)) {
    yield folder
    if (folder === dirname(folder)) return
  }
}
