// The takes that a bounce or its verification reads. Their bytes are checked against their hashes first, and
// the files are checked again at the end, because anything written to a file in between would be rendered
// under the old hash.

import { existsSync } from 'node:fs'
import { promisedHash, workingCopyFolder } from '../../audio/working-copy.ts'
import { Failure } from '../../contract/failure.ts'
import { type FileIdentity, identityOf, isUntouched } from '../../files/file-identity.ts'
import { moveAside } from '../../files/new-folder.ts'
import type { TakePaths } from '../../workers/jobs.ts'
import {
  type LocatedTake,
  missingFailure,
  placeOfTake,
  readableTakes,
  type TakeReading,
  takeFilePath,
  vanishedFailure,
} from '../takes/take-files.ts'

/** The takes of a bounce, checked before it and again after it. */
export interface WatchedTakes {
  /** Takes whose bytes no longer match their hash, each with its path. */
  readonly changed: readonly LocatedTake[]
  /** Seekable files of the other takes: their own or a working copy. */
  readonly paths: TakePaths
  /** @throws Failure `changed` or `vanished` for a take that something has written to since it was checked */
  refuseTouched(): Promise<void>
}

interface WatchedFile {
  readonly take: LocatedTake
  readonly path: string
  readonly sha256: string
  readonly identity: FileIdentity
}

/**
 * @param outcome what has not happened if a take is missing: 'Nothing was bounced'
 * @throws Failure `vanished`, which names all missing takes; or as opening a take
 */
export async function watchTakes(
  reading: TakeReading,
  root: string,
  takes: readonly LocatedTake[],
  signal: AbortSignal,
  outcome: string,
): Promise<WatchedTakes> {
  const missing = takes.filter((take) => placeOfTake(root, take) === undefined)
  if (missing.length > 0) throw missingFailure(root, missing, outcome)
  const hashOf = (path: string): Promise<string> => reading.pool.run('hashFile', { path }, { signal })
  const files = takes.map((take): WatchedFile => {
    const path = takeFilePath(root, take)
    // Before the bytes are hashed, so that a write between the two is noticed.
    return { take, path, sha256: take.sha256, identity: identityOf(path) }
  })
  const hashes = await Promise.all(files.map(({ path }) => hashOf(path)))
  const same = files.filter(({ sha256 }, k) => hashes[k] === sha256)
  const sameTakes = same.map(({ take }) => take)

  let paths = await readableTakes(reading, root, sameTakes, signal)
  let copies = copiesOf(same, paths)
  const copyHashes = await Promise.all(copies.map(({ path }) => hashOf(path)))
  const damaged = copies.filter(({ sha256 }, k) => copyHashes[k] !== sha256)
  if (damaged.length > 0) {
    for (const { take } of damaged) moveAside(workingCopyFolder(reading.folders.working, take.sha256))
    paths = await readableTakes(reading, root, sameTakes, signal)
    copies = copiesOf(same, paths)
  }

  const watched = [...same, ...copies]
  return {
    changed: files.filter((file) => !same.includes(file)).map(({ take }) => take),
    paths,
    async refuseTouched() {
      for (const file of watched) {
        if (await isTouched(file, hashOf)) throw touchedFailure(file)
      }
    },
  }
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
  if (!existsSync(path)) throw vanishedFailure(take, path)
  const now = identityOf(path)
  if (!isUntouched(now, identity)) return true
  // A new link or changed permissions are harmless; the bytes decide.
  return now.changedNs !== identity.changedNs && (await hashOf(path)) !== sha256
}

const touchedFailure = ({ take, path }: WatchedFile): Failure =>
  new Failure(
    'changed',
    `The file of the take ${take.name} was written to while its stems were being rendered, so nothing was delivered; see what writes to ${path}, then bounce again.`,
    { take: take.name, path },
  )
