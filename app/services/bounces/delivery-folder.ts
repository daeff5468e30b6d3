// The folder of a delivery. It gets its name when it is complete, and earlier deliveries are never
// changed: if the name is taken, the delivery gets the name of the next version.

import { existsSync, lstatSync, realpathSync, type Stats, statSync } from 'node:fs'
import { basename, dirname, join, resolve } from 'node:path'
import { openInputFile } from '../../audio/input-file.ts'
import { DECLARATION_FILE } from '../../bag/bag-texts.ts'
import { DELIVERY_FORMAT } from '../../contract/delivery/delivery-manifest.ts'
import { Failure } from '../../contract/failure.ts'
import { MANIFEST_FORMAT } from '../../contract/manifest.ts'
import { namingAskedFor } from '../../files/asked-for.ts'
import { ensureFolder, removeMadeFolders } from '../../files/ensure-folder.ts'
import { refuseLongName } from '../../files/file-names.ts'
import { createNewFolder, isFree, type NewFolder } from '../../files/new-folder.ts'

/** The name of a manifest in its folder. */
export const MANIFEST_FILE = 'manifest.json'

/** The folder of a bounce or a delivery while it is being written. */
export interface DeliveryFolder {
  /** Where its files are written. */
  readonly path: string
  /** Absolute path of the folder that will contain the delivery. */
  readonly parent: string
  /** Absolute path that was asked for, which failures name. */
  readonly target: string
  /** As NewFolder.makeFolder. */
  makeFolder(name: string): void
  /** Gives the folder its name. @returns absolute path of the delivery @throws Failure as NewFolder.commit */
  commit(): string
  /** Removes what was written. Harmless after commit. */
  discard(): void
}

/**
 * Starts a delivery that is to appear at `wanted`.
 * @param nameInside name of the delivery if it has to go inside `wanted`, for example in the root of a disk
 * @throws Failure 'conflict' inside an earlier delivery; 'not-writable' where neither is possible, and as
 *   ensureFolder and createNewFolder; 'disk-full'
 */
export function startDelivery(wanted: string, nameInside: string): DeliveryFolder {
  const target = resolve(wanted)
  refuseLongName(target)
  refuseOtherThanFolder(target)
  refuseInsideKept(target)
  const made = ensureFolder(dirname(target))
  let started: Started
  try {
    started = startWhereAllowed(target, nameInside)
  } catch (error) {
    removeMadeFolders(made)
    throw namingAskedFor(error, target)
  }
  const { folder, parent, name } = started
  return {
    path: folder.path,
    parent,
    target: join(parent, name),
    makeFolder: folder.makeFolder,
    commit: () => commitAsNextVersion(folder, parent, name),
    discard() {
      folder.discard()
      // After commit they contain the delivery; only empty folders are removed.
      removeMadeFolders(made)
    },
  }
}

/**
 * Starts a delivery that is to appear inside `wanted` under exactly this name.
 * @throws Failure as startDelivery; its `commit` gives 'conflict' where the name was taken meanwhile
 */
export function startNamedDelivery(wanted: string, name: string): DeliveryFolder {
  const target = resolve(wanted)
  refuseOtherThanFolder(target)
  refuseInsideKept(join(target, name))
  const made = ensureFolder(target)
  try {
    // Paths of takes in a manifest are relative, and from behind a link `..` would lead elsewhere.
    const parent = realpathSync(target)
    const folder = createNewFolder(parent)
    return {
      path: folder.path,
      parent,
      target: join(parent, name),
      makeFolder: folder.makeFolder,
      commit() {
        const path = join(parent, name)
        folder.commit(path)
        return path
      },
      discard() {
        folder.discard()
        removeMadeFolders(made)
      },
    }
  } catch (error) {
    removeMadeFolders(made)
    throw namingAskedFor(error, join(target, name))
  }
}

/** A delivery cannot go to a file, device, pipe or broken link. */
function refuseOtherThanFolder(target: string): void {
  const isTaken = lstatSync(target, { throwIfNoEntry: false }) !== undefined
  if (!isTaken || factsOf(target)?.isDirectory() === true) return
  throw new Failure('not-writable', `${target} is not a folder; choose a folder, or a name that is free.`, {
    path: target,
  })
}

/** undefined if nothing is there, or a part of the path is a file. */
function factsOf(path: string): Stats | undefined {
  try {
    return statSync(path, { throwIfNoEntry: false })
  } catch {
    return undefined
  }
}

interface Started {
  readonly folder: NewFolder
  readonly parent: string
  readonly name: string
}

function startBeside(target: string): Started {
  // Paths of takes in a manifest are relative, and from behind a link `..` would lead elsewhere.
  const parent = realpathSync(dirname(target))
  return { folder: createNewFolder(parent), parent, name: basename(target) }
}

/** Where `target` is a folder whose parent does not take files, such as the root of a disk. */
function startInside(target: string, nameInside: string): Started {
  if (isDelivery(target)) {
    throw new Failure(
      'not-writable',
      `${target} is a delivery, which must stay as it was delivered, and this user cannot write beside it; choose another folder.`,
      { path: target, delivery: target },
    )
  }
  const parent = realpathSync(target)
  return { folder: createNewFolder(parent), parent, name: nameInside }
}

function startWhereAllowed(target: string, nameInside: string): Started {
  if (basename(target) === '') return startInside(target, nameInside)
  try {
    return startBeside(target)
  } catch (error) {
    // Another error can be over a moment later; the delivery would then be in an unexpected place.
    if (!isForbidden(error) || factsOf(target)?.isDirectory() !== true) throw error
    return startInside(target, nameInside)
  }
}

const isForbidden = (error: unknown): boolean =>
  error instanceof Failure && FORBIDDEN.includes(String(error.details.systemError))
/** System errors that a folder gives as long as its permissions or its disk stay as they are. */
const FORBIDDEN = ['EACCES', 'EPERM', 'EROFS']

function commitAsNextVersion(folder: NewFolder, parent: string, name: string): string {
  for (const one of versionNames(name)) {
    const path = join(parent, one)
    if (!isFree(path)) continue
    try {
      folder.commit(path)
      return path
    } catch (error) {
      // Another program took this name first.
      if (!(error instanceof Failure && error.code === 'conflict')) throw error
    }
  }
  throw new Failure('conflict', `${join(parent, name)} has too many versions; choose another folder.`, {
    path: join(parent, name),
  })
}

const MAX_VERSIONS = 9999
/** Enough to find the format's name, which comes first in a manifest. */
const MANIFEST_HEAD_BYTES = 200

/** `Song`, `Song-v02`, `Song-v03` …; starts at `Song-v02` if that is the given name. */
function* versionNames(name: string): Generator<string> {
  const [, base = name, number = '1'] = /^(.+)-v(\d+)$/.exec(name) ?? []
  yield name
  for (let n = Number(number) + 1; n <= MAX_VERSIONS; n++) yield `${base}-v${String(n).padStart(2, '0')}`
}

/**
 * A file inside a delivery, a bounce or an archive would change what went out.
 * @throws Failure 'conflict' where `target` is below one, also behind a link
 */
export function refuseInsideKept(target: string): void {
  refuseBelow(target, dirname(target))
  let there = dirname(target)
  while (!existsSync(there) && there !== dirname(there)) there = dirname(there)
  refuseBelow(target, realpathSync(there))
}

function refuseBelow(target: string, start: string): void {
  const kept = keptFolderFrom(start)
  if (kept === null) return
  const { folder, what } = kept
  throw new Failure(
    'conflict',
    `${target} is inside the ${what} ${folder}, which must stay as it was ${what === 'delivery' ? 'delivered' : 'written'}; choose a folder outside it.`,
    { path: target, [what]: folder },
  )
}

/** The delivery, bounce or archive that `start` is or is below; null for none. */
export function keptFolderFrom(start: string): { folder: string; what: 'delivery' | 'archive' } | null {
  for (let folder = start; folder !== dirname(folder); folder = dirname(folder)) {
    if (isDelivery(folder)) return { folder, what: 'delivery' }
    if (isArchive(folder)) return { folder, what: 'archive' }
  }
  return null
}

/** Whether this very folder is a bag (RFC 8493, 2.1.1). */
const isArchive = (folder: string): boolean => existsSync(join(folder, DECLARATION_FILE))

/** Whether a bounce or a delivery is in this very folder. */
function isDelivery(folder: string): boolean {
  const manifest = join(folder, MANIFEST_FILE)
  if (!existsSync(manifest)) return false
  try {
    const file = openInputFile(manifest)
    try {
      const head = file.bytes(0, MANIFEST_HEAD_BYTES).toString('utf8')
      return [MANIFEST_FORMAT, DELIVERY_FORMAT].some((format) => head.includes(`"${format}"`))
    } finally {
      file.close()
    }
  } catch {
    return false
  }
}
