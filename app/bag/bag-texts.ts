// The text files of a bag by RFC 8493 (BagIt 1.0), written and read.

import { isUnsafePath } from './bag-paths.ts'

/** RFC 8493, 2.1.1: exactly these two lines. */
export const BAG_DECLARATION = 'BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n'
export const DECLARATION_FILE = 'bagit.txt'
export const INFO_FILE = 'bag-info.txt'
export const PAYLOAD_MANIFEST = 'manifest-sha256.txt'
export const TAG_MANIFEST = 'tagmanifest-sha256.txt'
/** Everything below it is payload. */
export const PAYLOAD_FOLDER = 'data/'
/** Names what is to be fetched to complete a bag; ours are never incomplete. */
export const FETCH_FILE = 'fetch.txt'

/** A file with its SHA-256 as 64 lower-case hexadecimal digits. */
export interface ListedFile {
  readonly sha256: string
  /** From the bag's folder, with slashes. */
  readonly path: string
}

/** A label and its value (RFC 8493, 2.2.2). */
export type InfoLine = readonly [label: string, value: string]

/** A manifest as sha256sum checks it: hash, two spaces, path; sorted by path. */
export const manifestText = (files: readonly ListedFile[]): string =>
  files
    .toSorted((a, b) => (a.path < b.path ? -1 : 1))
    .map(({ sha256, path }) => `${sha256}  ${path}\n`)
    .join('')

/** The lines of a manifest that can be used, and those that cannot, as they stand. */
export interface ReadManifest {
  readonly files: readonly ListedFile[]
  readonly unusable: readonly string[]
}

/**
 * Reads a manifest. A line without a full hash in letters of one case (a flipped bit mixes them), with an asterisk before the path (a mark of binary files that the
 * RFC does not know), with an unsafe path or with a path that an earlier line has is unusable.
 */
export function readManifestText(text: string): ReadManifest {
  const { files, unusable } = readHashes(text, 64)
  return { files: files.map(({ hash, path }) => ({ sha256: hash, path })), unusable }
}

/** A file with a hash of any algorithm, in lower case. */
interface HashedFile {
  readonly hash: string
  readonly path: string
}

/** As readManifestText, for hashes of that many hexadecimal digits. */
export function readHashes(text: string, digits: number) {
  const files: HashedFile[] = []
  const unusable: string[] = []
  const seen = new Set<string>()
  for (const line of text.split(/\r\n|\r|\n/)) {
    if (line === '') continue
    const [, hash, path] = /^([0-9a-f]+|[0-9A-F]+)[ \t]+(\S.*)$/.exec(line) ?? []
    if (hash?.length !== digits || path === undefined) unusable.push(line)
    else if (path.startsWith('*') || isUnsafePath(path) || seen.has(path)) unusable.push(line)
    else {
      seen.add(path)
      files.push({ hash: hash.toLowerCase(), path })
    }
  }
  return { files, unusable }
}

/** Line breaks inside a value become spaces. */
export const infoText = (lines: readonly InfoLine[]): string =>
  lines.map(([label, value]) => `${label}: ${value.replaceAll(/\s+/g, ' ').trim()}\n`).join('')

/** Reads `label: value` lines; a line that begins with a space or tab continues the one before. */
export function readInfoText(text: string): InfoLine[] {
  const lines: [string, string][] = []
  for (const line of text.split(/\r\n|\r|\n/)) {
    const last = lines.at(-1)
    const [, label, value] = /^([^:\s][^:]*?)\s*:\s*(.*)$/.exec(line) ?? []
    if (/^[ \t]/.test(line) && last !== undefined) last[1] = `${last[1]} ${line.trim()}`
    else if (label !== undefined && value !== undefined) lines.push([label, value.trim()])
  }
  return lines
}

/** The value of Payload-Oxum: octets and files of the payload. */
export const oxumOf = (payload: readonly { readonly sizeBytes: number }[]): string =>
  `${payload.reduce((sum, { sizeBytes }) => sum + sizeBytes, 0)}.${payload.length}`
