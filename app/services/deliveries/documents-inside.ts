// Small files of a delivery, and the list of hashes of all of them.

import { createHash } from 'node:crypto'
import { join } from 'node:path'
import type { DeliveredFile } from '../../contract/delivery/delivery-manifest.ts'
import { createFileInside } from '../../files/new-file.ts'
import { writeNewFile } from '../../files/write-file.ts'

/** SHA-256 as 64 hexadecimal digits; text as UTF-8. */
export const hashOfText = (data: string | Uint8Array): string =>
  createHash('sha256').update(data).digest('hex')

/** @throws Failure as writeNewFile */
export function writeDocument(folder: string, path: string, data: string | Uint8Array): DeliveredFile {
  writeNewFile(join(folder, path), data, createFileInside)
  return { kind: 'document', path, bytes: Buffer.byteLength(data), sha256: hashOfText(data) }
}

/** As `sha256sum -c` and `shasum -a 256 -c` read it: hash, two spaces, path; in the order of the paths. */
export const hashList = (files: readonly Pick<DeliveredFile, 'path' | 'sha256'>[]): string =>
  files
    .map(({ path, sha256 }) => ({ path, line: `${sha256}  ${path}\n` }))
    .sort((one, other) => (one.path < other.path ? -1 : 1))
    .map(({ line }) => line)
    .join('')
