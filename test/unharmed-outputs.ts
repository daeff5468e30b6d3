// Bounces, deliveries and archives against the hashes that they went out with. This reads manifests by their formats alone
// and not by the program's own readers, so that an error of those cannot hide a changed file.

import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { dirname, join, relative, resolve } from 'node:path'
import type { Catalogue } from '../db/catalogue.ts'
import { hashOf } from './hash-of.ts'

const MANIFEST = 'manifest.json'
const PAYLOAD_LIST = 'manifest-sha256.txt'
const TAG_LIST = 'tagmanifest-sha256.txt'

/** What a manifest says of its files: `stems` in a bounce, `files` in a delivery. */
interface OutputManifest {
  readonly stems?: readonly { readonly file: string; readonly sha256: string }[]
  readonly files?: readonly { readonly path: string; readonly sha256: string }[]
}

/** A folder that went out: where each of its files is, and the hash that it has to have. */
interface Output {
  readonly folder: string
  readonly files: readonly (readonly [path: string, sha256: string])[]
  /** Whether a file that is not listed was added by something. */
  readonly isWhole: boolean
}

/**
 * Throws where a file that went out has other bytes, is gone, or has a new one beside it. A folder that is gone as a whole
 * is passed over: its owner may move or delete it.
 * @param tampered absolute paths of files and folders that the test itself has written to
 * @returns how many files were hashed
 */
export function hashOutputs(catalogue: Catalogue, tampered: ReadonlySet<string>): number {
  let hashed = 0
  const outputs = [...manifestsByFolder(catalogue), ...bagFolders(catalogue)]
  for (const read of outputs) {
    if (tampered.has(read.folder) || !existsSync(read.folder)) continue
    const { folder, files, isWhole } = read.output(tampered)
    for (const [path, sha256] of files) {
      const place = join(folder, path)
      if (tampered.has(place)) continue
      if (!existsSync(place)) throw new Error(`${place} went out and was removed`)
      if (hashOf(place) !== sha256) throw new Error(`${place} went out and was written to`)
      hashed++
    }
    const listed = new Set(files.map(([path]) => path))
    for (const path of isWhole ? filesBelow(folder) : []) {
      if (!listed.has(path) && !tampered.has(join(folder, path)))
        throw new Error(`${join(folder, path)} was added to a folder that went out`)
    }
  }
  return hashed
}

interface OutputReader {
  readonly folder: string
  output(tampered: ReadonlySet<string>): Output
}

/** Bounces and deliveries. Two records may name one folder: those of another computer's folder that is not here. */
function manifestsByFolder(catalogue: Catalogue): OutputReader[] {
  const root = dirname(catalogue.path)
  const hashes = new Map<string, string[]>()
  const note = (folder: string, sha256: string): void => {
    hashes.set(folder, [...(hashes.get(folder) ?? []), sha256])
  }
  for (const { manifestPath, manifestSha256 } of catalogue.bounces.list())
    note(dirname(resolve(root, manifestPath)), manifestSha256)
  for (const { id } of catalogue.sessions.list()) {
    for (const { folder, manifestSha256 } of catalogue.deliveries.listOfSession(id))
      note(resolve(root, folder), manifestSha256)
  }
  return [...hashes].map(([folder, known]) => ({
    folder,
    output: (tampered) => readOutput(folder, known, tampered),
  }))
}

function readOutput(folder: string, known: readonly string[], tampered: ReadonlySet<string>): Output {
  const path = join(folder, MANIFEST)
  if (tampered.has(path)) return { folder, files: [], isWhole: false }
  if (!existsSync(path)) throw new Error(`${path} went out and was removed`)
  const sha256 = hashOf(path)
  if (!known.includes(sha256)) throw new Error(`${path} went out and was written to`)
  const { stems, files = [] } = JSON.parse(readFileSync(path, 'utf8')) as OutputManifest
  const manifest = [MANIFEST, sha256] as const
  if (stems !== undefined) {
    return {
      folder,
      files: [manifest, ...stems.map((stem) => [stem.file, stem.sha256] as const)],
      isWhole: true,
    }
  }
  const listed = [manifest, ...files.map((file) => [file.path, file.sha256] as const)]
  const list = join(folder, PAYLOAD_LIST)
  if (!existsSync(list)) throw new Error(`${list} went out and was removed`)
  // The list of hashes has no hash of its own: it has to have every other file, as the manifest has it.
  const lines = (pairs: readonly (readonly [string, string])[]): string => pairs.map(String).sort().join('\n')
  if (!tampered.has(list) && lines(readList(list)) !== lines(listed))
    throw new Error(`${list} went out and was written to`)
  return { folder, files: [...listed, [PAYLOAD_LIST, hashOf(list)]], isWhole: true }
}

/** Archives that were made or restored here. A bag of another program may have other manifests and further tag files. */
function bagFolders(catalogue: Catalogue): OutputReader[] {
  const root = dirname(catalogue.path)
  return catalogue.archives.listPaths().map((path) => {
    const folder = resolve(root, path)
    return {
      folder,
      output(tampered) {
        const lists = [PAYLOAD_LIST, TAG_LIST].map((name) => join(folder, name))
        const gone = lists.find((list) => !existsSync(list) && !tampered.has(list))
        if (gone !== undefined) throw new Error(`${gone} went out and was removed`)
        const files = lists.flatMap((list) => (tampered.has(list) ? [] : readList(list)))
        return { folder, files, isWhole: false }
      },
    }
  })
}

/** Lines of `sha256sum`; in a path %0A, %0D and %25 are the characters they stand for (RFC 8493, 2.1.3). */
function readList(path: string): (readonly [path: string, sha256: string])[] {
  return readFileSync(path, 'utf8')
    .split(/\r\n|\r|\n/)
    .filter((line) => line !== '')
    .map((line) => {
      const [, sha256, name] = /^([0-9a-f]{64})[ \t]+\*?(.+)$/i.exec(line) ?? []
      if (sha256 === undefined || name === undefined)
        throw new Error(`${path} has a line without a hash: ${line}`)
      return [
        name.replace(/%(0A|0D|25)/gi, (_, hex: string) => String.fromCharCode(Number.parseInt(hex, 16))),
        sha256.toLowerCase(),
      ] as const
    })
}

const filesBelow = (folder: string): string[] =>
  readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => !entry.isDirectory())
    .map((entry) => relative(folder, join(entry.parentPath, entry.name)).replaceAll('\\', '/'))
