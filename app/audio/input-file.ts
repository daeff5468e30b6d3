// An open file of bytes on the reading side: checked to be an ordinary file with
// something in it, read by position, never written to.

import { closeSync, fstatSync, openSync, readSync, statSync } from 'node:fs'
import { Failure } from '../contract/failure.ts'
import { folderFailure, readFailure } from '../files/file-failures.ts'

export interface InputFile {
  readonly path: string
  readonly sizeBytes: number
  /** Reads up to `length` bytes at `position` into the start of `into`; returns how many there were. */
  readInto(into: Uint8Array, length: number, position: number): number
  /** Up to `length` bytes at `position`, fewer at the end of the file. */
  bytes(position: number, length: number): Buffer
  close(): void
}

/** @throws Failure 'not-found', 'not-readable' (folder, permission, device) or 'empty' */
export function openInputFile(path: string): InputFile {
  let descriptor: number
  let sizeBytes: number
  try {
    // Asked before opening: opening a named pipe would wait for its other end.
    const facts = statSync(path)
    if (facts.isDirectory()) throw folderFailure(path)
    if (!facts.isFile()) {
      throw new Failure('not-readable', `${path} is not an ordinary file; choose a recording.`, { path })
    }
    descriptor = openSync(path, 'r')
    sizeBytes = fstatSync(descriptor).size
  } catch (error) {
    throw readFailure(error, path)
  }
  let open = true

  function readInto(into: Uint8Array, length: number, position: number): number {
    if (!open) throw new Error(`${path} is already closed`)
    let done = 0
    try {
      while (done < length) {
        const got = readSync(descriptor, into, done, length - done, position + done)
        if (got === 0) break
        done += got
      }
    } catch (error) {
      throw readFailure(error, path)
    }
    return done
  }

  const file: InputFile = {
    path,
    sizeBytes,
    readInto,
    bytes(position, length) {
      const into = Buffer.alloc(Math.max(0, Math.min(length, sizeBytes - position)))
      return into.subarray(0, readInto(into, into.length, position))
    },
    close() {
      if (open) closeSync(descriptor)
      open = false
    },
  }
  if (sizeBytes === 0) {
    file.close()
    throw new Failure(
      'empty',
      `${path} is empty (0 bytes); copy the recording again from where it was made.`,
      { path },
    )
  }
  return file
}
