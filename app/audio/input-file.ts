// A file opened for reading only: checked to be an ordinary, non-empty file, and read by position.

import { Failure } from '../contract/failure.ts'
import { openOrdinaryFile } from '../files/open-ordinary-file.ts'

/** An open sound file, read by position. */
export interface InputFile {
  readonly path: string
  readonly sizeBytes: number
  /** Reads up to `length` bytes at `position` into the start of `into`; returns the number of bytes read. */
  readInto(into: Uint8Array, length: number, position: number): number
  /** Up to `length` bytes at `position`, fewer at the end of the file. */
  bytes(position: number, length: number): Buffer
  close(): void
}

/** @throws Failure 'not-found', 'not-readable' (folder, permission, device) or 'empty' */
export function openInputFile(path: string): InputFile {
  const file = openOrdinaryFile(path, 'a recording')
  const { sizeBytes } = file
  if (sizeBytes === 0) {
    file.close()
    throw new Failure('empty', `${path} is empty (0 bytes); copy the recording again from its source.`, {
      path,
    })
  }
  return {
    path,
    sizeBytes,
    readInto: file.readInto,
    bytes(position, length) {
      const into = Buffer.alloc(Math.max(0, Math.min(length, sizeBytes - position)))
      return into.subarray(0, file.readInto(into, into.length, position))
    },
    close: file.close,
  }
}
