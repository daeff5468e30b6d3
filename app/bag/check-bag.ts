// Checks of a bag (RFC 8493, 3): complete where everything that is required and listed is there and nothing else,
// valid where every hash is right as well. Pure: the caller lists the folder, reads the small files and hashes.

import { collidingPaths } from './bag-paths.ts'
import {
  BAG_DECLARATION,
  DECLARATION_FILE,
  FETCH_FILE,
  INFO_FILE,
  type ListedFile,
  oxumOf,
  PAYLOAD_FOLDER,
  PAYLOAD_MANIFEST,
  readInfoText,
  readManifestText,
  TAG_MANIFEST,
} from './bag-texts.ts'

/** Something in the folder of a bag. */
export interface FileInBag {
  /** From the bag's folder, with slashes. */
  readonly path: string
  readonly sizeBytes: number
  /** Whether it is an ordinary file: no link, device or pipe. */
  readonly isFile: boolean
}

export interface BagProblem {
  readonly kind:
    | 'missing'
    | 'altered'
    | 'unlisted'
    | 'not-a-file'
    | 'ambiguous-name'
    | 'unusable-line'
    | 'declaration'
    | 'has-holes'
    | 'wrong-oxum'
  /** The file concerned; for an unusable line the manifest. */
  readonly path: string
}

export interface BagContents {
  readonly payload: readonly ListedFile[]
  readonly tags: readonly ListedFile[]
  readonly problems: readonly BagProblem[]
}

/** The files whose text the check of completeness reads. */
export const TEXTS_OF_BAG = [DECLARATION_FILE, INFO_FILE, PAYLOAD_MANIFEST, TAG_MANIFEST] as const

/**
 * Whether a bag is complete. Stricter than the RFC: all tag files are listed, names are unambiguous, the tag manifest
 * and Payload-Oxum are required, nothing is to be fetched.
 * @param files all that is in the folder and its subfolders
 * @param texts of TEXTS_OF_BAG, those that are there
 */
export function checkComplete(files: readonly FileInBag[], texts: ReadonlyMap<string, string>): BagContents {
  const problems: BagProblem[] = []
  const find = (kind: BagProblem['kind'], path: string): void => void problems.push({ kind, path })
  const there = new Map(files.map((file) => [file.path, file]))

  for (const path of TEXTS_OF_BAG) if (!texts.has(path)) find('missing', path)
  const declaration = texts.get(DECLARATION_FILE)
  if (declaration !== undefined && declaration !== BAG_DECLARATION) find('declaration', DECLARATION_FILE)
  if (there.has(FETCH_FILE)) find('has-holes', FETCH_FILE)
  for (const { path, isFile } of files) if (!isFile) find('not-a-file', path)
  for (const path of collidingPaths(there.keys())) find('ambiguous-name', path)

  const read = (manifest: string, isPayload: boolean): readonly ListedFile[] => {
    const { files: listed, unusable } = readManifestText(texts.get(manifest) ?? '')
    const [right, wrong] = [[] as ListedFile[], [] as ListedFile[]]
    for (const one of listed) (one.path.startsWith(PAYLOAD_FOLDER) === isPayload ? right : wrong).push(one)
    for (const _ of [...unusable, ...wrong]) find('unusable-line', manifest)
    for (const { path } of right) if (!there.has(path)) find('missing', path)
    return right
  }
  const payload = read(PAYLOAD_MANIFEST, true)
  const tags = read(TAG_MANIFEST, false)
  const listed = new Set([...payload, ...tags].map(({ path }) => path))
  for (const path of [DECLARATION_FILE, INFO_FILE, PAYLOAD_MANIFEST]) {
    if (!listed.has(path)) find('missing', `${path} in ${TAG_MANIFEST}`)
  }
  for (const { path } of files) if (!listed.has(path) && path !== TAG_MANIFEST) find('unlisted', path)

  const info = readInfoText(texts.get(INFO_FILE) ?? '')
  const oxum = info.filter(([label]) => label.toLowerCase() === 'payload-oxum').map(([, value]) => value)
  const counted = oxumOf(files.filter(({ path }) => path.startsWith(PAYLOAD_FOLDER)))
  if (oxum.length !== 1 || oxum[0] !== counted) find('wrong-oxum', INFO_FILE)
  return { payload, tags, problems }
}

/** Files whose bytes are not those of the manifest. @param hashes SHA-256 by path; one that is absent was not read */
export const checkHashes = (
  listed: readonly ListedFile[],
  hashes: ReadonlyMap<string, string>,
): BagProblem[] =>
  listed
    .filter(({ path, sha256 }) => hashes.get(path) !== sha256)
    .map(({ path }) => ({ kind: 'altered', path }))
