// Limits on file names.

import { basename } from 'node:path'
import { Failure } from '../contract/failure.ts'

/** The longest file name of the common file systems, in bytes. */
const MAX_NAME_BYTES = 255

/** @throws Failure 'invalid-input' where the name is too long for the common file systems */
export function refuseLongName(path: string): void {
  const bytes = Buffer.byteLength(basename(path))
  if (bytes <= MAX_NAME_BYTES) return
  throw new Failure(
    'invalid-input',
    `The file name ${basename(path).slice(0, 40)}… has ${bytes} bytes, and a name may have ${MAX_NAME_BYTES}; shorten it.`,
    { path },
  )
}
