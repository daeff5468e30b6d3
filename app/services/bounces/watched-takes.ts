// The takes that a bounce or its verification reads. Their bytes are checked against their hashes first, and
// the files are checked again at the end, because anything written to a file in between would be rendered
// under the old hash.

import { existsSync } from 'node:fs'
import { promisedHash, workingCopyFolder } from '../../audio/working-copy.ts'
import { Failure } from '../../contract/failure.ts'
import { type FileIdentity, identityIfAny, identityOf, isUntouched } from '../../files/file-identity.ts'
import { moveAside } from '../../files/new-folder.ts'
import type { TakePaths } from '../../workers/jobs.ts'
import {
  type AbsentTake,
  absentFailure,
  type FoundTake,
  type LocatedTake,
  placesOfTake,
  readableTakes,
  type TakeReading,
} from '../takes/take-files.ts'

/** The takes of a bounce, checked before it and again after it. */
export interface WatchedTakes<T extends LocatedTake = LocatedTake> {
  /** Takes whose bytes are at none of their places. */
  readonly absent: readonly AbsentTake<T>[]
  /** The other takes, each with the path at which its bytes are. */
  readonly found: readonly FoundTake<T>[]
  /** Seekable files of the found takes: their own or a working copy. */
  readonly paths: TakePaths
  /** @throws Failure `changed` or `vanished` for a take that something has written to since it was checked */
  refuseTouched(): Promise<void>
}

interface WatchedFile<T extends LocatedTake = LocatedTake> extends FoundTake<T> {
  readonly sha256: string
  readonly identity: FileIdentity
}

type HashOf = (path: string) => Promise<string>

/** @throws Failure as opening a take */
export async function watchTakes<T extends LocatedTake>(
  reading: TakeReading,
  root: string,
  takes: readonly T[],
  signal: AbortSignal,
): Promise<WatchedTakes<T>> {
  const hashOf: HashOf = (path) => reading.pool.run('hashFile', { path }, { signal })
  const files = await Promise.all(takes.map((take) => findByHash(root, take, hashOf, signal)))
  const found = files.filter((file) => 'identity' in file)

  let paths = await readableTakes(reading, found, signal)
  let copies = copiesOf(found, paths)
  const copyHashes = await Promise.all(copies.map(({ path }) => hashOf(path)))
  const damaged = copies.filter(({ sha256 }, k) => copyHashes[k] !== sha256)
  if (damaged.length > 0) {
    for (const { take } of damaged) moveAside(workingCopyFolder(reading.folders.working, take.sha256))
    paths = await readableTakes(reading, found, signal)
    copies = copiesOf(found, paths)
  }

  const watched = [...found, ...copies]
  return {
    absent: files.filter((file) => 'state' in file),
    found,
    paths,
    async refuseTouched() {
      for (const file of watched) {
        if (await isTouched(file, hashOf)) throw touchedFailure(file)
      }
    },
  }
}

/** The first place of a take that has its bytes: its hash is what it is, wherever it lies. */
async function findByHash<T extends LocatedTake>(
  root: string,
  take: T,
  hashOf: HashOf,
  signal: AbortSignal,
): Promise<WatchedFile<T> | AbsentTake<T>> {
  const places = [...new Set(placesOfTake(root, take))]
  let failure: unknown
  for (const path of places) {
    // Before the bytes are hashed, so that a write between the two is noticed.
    const identity = identityIfAny(path)
    if (!identity?.isFile) continue
    try {
      if ((await hashOf(path)) === take.sha256) return { take, path, sha256: take.sha256, identity }
    } catch (error) {
      if (signal.aborted) throw error
      failure ??= error
    }
  }
  // A file that could not be read may be the take.
  if (failure !== undefined) throw failure
  return { take, state: existsSync(places[0]) ? 'changed' : 'missing', path: places[0] }
}

/** The working copies among the files that are read. */
function copiesOf(files: readonly WatchedFile[], paths: TakePaths): WatchedFile[] {
  return files.flatMap(({ take, path }) => {
    const read = paths[take.sha256]
    return read === path ? [] : [{ take, path: read, sha256: promisedHash(read), identity: identityOf(read) }]
  })
}

async function isTouched(
  { take, path, sha256, identity }: WatchedFile,
  hashOf: (path: string) => Promise<string>,
): Promise<boolean> {
  if (!existsSync(path)) throw absentFailure({ take, path, state: 'missing' })
  const now = identityOf(path)
  if (!isUntouched(now, identity)) return true
  // A new link or changed permissions are harmless; the bytes decide.
  return now.changedNs !== identity.changedNs && (await hashOf(path)) !== sha256
}

const touchedFailure = ({ take, path }: WatchedFile): Failure =>
  new Failure(
    'changed',
    `The file of the take ${take.name} was written to while it was being read, so nothing was saved; see what writes to ${path}, then try again.`,
    { take: take.name, path },
  )
