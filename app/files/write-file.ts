// Small files in one call.

import type { FileIdentity } from './file-identity.ts'
import {
  type CreateNewFile,
  createAgreedReplacement,
  createNewFile,
  createReplacement,
  type NewFile,
} from './new-file.ts'

/**
 * Writes `data` (text as UTF-8) to a new file at `path`.
 * @throws Failure as the creator; `path` is then as it was before
 */
export function writeNewFile(
  path: string,
  data: string | Uint8Array,
  create: CreateNewFile = createNewFile,
): void {
  writeWhole(create(path), data)
}

/**
 * Writes `data` to `path` in place of an older file of the program's own.
 * @param isOwn recognizes the program's own file by the first bytes of the existing one
 * @throws Failure as createReplacement; `path` is then as it was before
 */
export function replaceOwnFile(
  path: string,
  data: string | Uint8Array,
  isOwn: (head: Uint8Array) => boolean,
): void {
  writeWhole(createReplacement(path, isOwn), data)
}

/** Recognizes an older file of the same kind by its first bytes. */
export const beginsLike = (text: string) => (head: Uint8Array) =>
  head.length > 0 && text.startsWith(Buffer.from(head).toString('utf8'))

/**
 * Writes `data` to `path` and replaces the file there with the user's consent.
 * @param agreed identity of the file that the user agreed to replace
 * @throws Failure as createAgreedReplacement; `path` is then as it was before
 */
export function replaceAgreedFile(path: string, data: string | Uint8Array, agreed: FileIdentity): void {
  writeWhole(createAgreedReplacement(path, agreed), data)
}

function writeWhole(file: NewFile, data: string | Uint8Array): void {
  file.write(typeof data === 'string' ? Buffer.from(data, 'utf8') : data, 0)
  file.commit()
}
