// Reads the folder of a bag: what is in it, its texts and, for validity, the hash of every file.

import { lstatSync } from 'node:fs'
import { readdir } from 'node:fs/promises'
import { join } from 'node:path'
import type { HashAlgorithm } from '../../audio/sha256.ts'
import { isUnsafePath } from '../../bag/bag-paths.ts'
import { INFO_FILE, type InfoLine, readHashes, readInfoText } from '../../bag/bag-texts.ts'
import {
  type BagContents,
  type BagProblem,
  checkComplete,
  checkHashes,
  type FileInBag,
  TEXTS_OF_BAG,
} from '../../bag/check-bag.ts'
import { Failure } from '../../contract/failure.ts'
import type { CallContext } from '../../contract/wire/commands.ts'
import { openOrdinaryFile } from '../../files/open-ordinary-file.ts'
import type { Pool } from '../../workers/pool.ts'

/** Of one text of a bag; a manifest has about 120 bytes for each file. */
const MAX_TEXT_BYTES = 1 << 25
const MAX_FILES = 200_000

export interface CheckedBag extends BagContents {
  readonly files: readonly FileInBag[]
  readonly info: readonly InfoLine[]
}

/**
 * Everything in a folder and its subfolders, without following links.
 * @throws Failure `not-found` and the like; `not-supported` with more files than a bag of ours can have
 */
async function listBag(folder: string): Promise<FileInBag[]> {
  const files: FileInBag[] = []
  const waiting = ['']
  for (let next = waiting.pop(); next !== undefined; next = waiting.pop()) {
    for (const entry of await readdir(join(folder, next), { withFileTypes: true })) {
      const path = next === '' ? entry.name : `${next}/${entry.name}`
      if (entry.isDirectory()) waiting.push(path)
      else {
        const facts = lstatSync(join(folder, path))
        files.push({ path, sizeBytes: facts.size, isFile: facts.isFile() })
      }
      if (files.length + waiting.length > MAX_FILES) {
        throw new Failure(
          'not-supported',
          `${folder} has more than ${MAX_FILES} files; choose the folder of one archive.`,
          {
            path: folder,
          },
        )
      }
    }
  }
  return files
}

/** Whether a bag is complete, without reading its sound. @throws Failure where the folder cannot be read */
export async function readBag(folder: string): Promise<CheckedBag> {
  const files = await listBag(folder)
  const there = new Map(files.map((file) => [file.path, file]))
  const texts = new Map<string, string>()
  for (const path of TEXTS_OF_BAG) {
    const file = there.get(path)
    if (file?.isFile !== true || file.sizeBytes > MAX_TEXT_BYTES) continue
    const text = readUtf8(join(folder, path), file.sizeBytes)
    if (text !== null) texts.set(path, text)
  }
  return { ...checkComplete(files, texts), files, info: readInfoText(texts.get(INFO_FILE) ?? '') }
}

/** null for bytes that are not UTF-8. A byte order mark is kept, because the RFC allows none. */
function readUtf8(path: string, sizeBytes: number): string | null {
  const file = openOrdinaryFile(path, 'the folder of an archive')
  try {
    const bytes = new Uint8Array(sizeBytes)
    const length = file.readInto(bytes, sizeBytes, 0)
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes.subarray(0, length))
  } catch (error) {
    if (error instanceof Failure) throw error
    return null
  } finally {
    file.close()
  }
}

/**
 * Validates a bag: complete, and the hash of every file right. Nothing outside of the folder is opened.
 * @throws Failure `damaged` that names what is wrong; of reading; 'cancelled'
 */
export async function validateBag(
  pool: Pool,
  folder: string,
  { signal, report }: CallContext,
): Promise<CheckedBag> {
  const bag = await readBag(folder)
  // An incomplete bag is refused before its sound is read.
  if (bag.problems.length > 0) throw invalidFailure(folder, bag.problems)
  const listed = [...bag.payload, ...bag.tags].filter(({ path }) => !isUnsafePath(path))
  const sizeOf = new Map(bag.files.map(({ path, sizeBytes }) => [path, sizeBytes]))
  const total = listed.reduce((sum, { path }) => sum + (sizeOf.get(path) ?? 0), 0)
  const hashes = new Map<string, string>()
  let [next, done] = [0, 0]
  const worker = async (): Promise<void> => {
    while (next < listed.length) {
      const { path } = listed[next++]!
      hashes.set(path, await pool.run('hashFile', { path: join(folder, path) }, { signal }))
      done += sizeOf.get(path) ?? 0
      report(done / Math.max(1, total), 'Checking the archive')
    }
  }
  await Promise.all(Array.from({ length: pool.threads }, worker))
  const altered = [...checkHashes(listed, hashes), ...(await checkOtherManifests(pool, folder, bag, signal))]
  if (altered.length > 0) throw invalidFailure(folder, altered)
  return bag
}

const MANIFEST = /^(?:tag)?manifest-([^/]*)\.txt$/
/** Hexadecimal digits by the name of the algorithm in that of a manifest, which other programs may have added (RFC 8493, 2.4). */
const OTHER_ALGORITHMS: ReadonlyMap<string, readonly [HashAlgorithm, number]> = new Map(
  (
    [
      ['md5', 32],
      ['sha1', 40],
      ['sha224', 56],
      ['sha384', 96],
      ['sha512', 128],
    ] as const
  ).map((of) => [of[0], of]),
)

/** RFC 8493, 3: a bag is valid where every hash of every manifest is right. */
async function checkOtherManifests(
  pool: Pool,
  folder: string,
  { files }: CheckedBag,
  signal: AbortSignal,
): Promise<BagProblem[]> {
  const problems: BagProblem[] = []
  const there = new Set(files.map(({ path }) => path))
  for (const { path: manifest, sizeBytes } of files) {
    const named = MANIFEST.exec(manifest)
    if (named === null || TEXTS_OF_BAG.some((one) => one === manifest)) continue
    const known = OTHER_ALGORITHMS.get(named[1])
    const text =
      known !== undefined && sizeBytes <= MAX_TEXT_BYTES ? readUtf8(join(folder, manifest), sizeBytes) : null
    if (known === undefined || text === null) {
      problems.push({ kind: 'unusable-line', path: manifest })
      continue
    }
    const [algorithm, digits] = known
    const { files: listed, unusable } = readHashes(text, digits)
    for (const _ of unusable) problems.push({ kind: 'unusable-line', path: manifest })
    for (const { hash, path } of listed) {
      if (!there.has(path)) problems.push({ kind: 'missing', path })
      else if ((await pool.run('hashFile', { path: join(folder, path), algorithm }, { signal })) !== hash)
        problems.push({ kind: 'altered', path })
    }
  }
  return problems
}

/** Problems that a sentence names; more are counted. */
const MAX_NAMED = 4

const PROBLEM_WORDS: Readonly<Record<BagProblem['kind'], (path: string) => string>> = {
  missing: (path) => `${path} is missing`,
  altered: (path) => `${path} was altered`,
  unlisted: (path) => `${path} is not listed`,
  'not-a-file': (path) => `${path} is not an ordinary file`,
  'ambiguous-name': (path) => `${path} has the name of another file in other spelling`,
  'unusable-line': (path) => `${path} has a line that cannot be used`,
  declaration: (path) => `${path} is not that of BagIt 1.0`,
  'has-holes': (path) => `${path} names files that are not in the archive`,
  'wrong-oxum': (path) => `Payload-Oxum in ${path} is not the size of what is there`,
}

function invalidFailure(folder: string, problems: readonly BagProblem[]): Failure {
  const named = problems.slice(0, MAX_NAMED).map(({ kind, path }) => PROBLEM_WORDS[kind](path))
  const more = problems.length - named.length
  return new Failure(
    'damaged',
    `${folder} is not a whole archive: ${named.join('; ')}${more > 0 ? `; and ${more} more` : ''}. Use another copy of the archive, or take single files out by hand.`,
    { path: folder, problems: problems.length },
  )
}
