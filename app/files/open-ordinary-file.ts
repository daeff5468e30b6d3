// Opens a file for reading and makes sure that it is an ordinary one: a pipe or a socket would block
// until its other end is opened, and reading a device may never reach an end.

import { closeSync, constants, fstatSync, openSync, read, readSync, type Stats, statSync } from 'node:fs'
import { promisify } from 'node:util'
import { Failure } from '../contract/failure.ts'
import { readFailure } from './file-failures.ts'

/** An open file that is no pipe, socket or device. */
export interface OrdinaryFile {
  /** Size when the file was opened. */
  readonly sizeBytes: number
  /**
   * Reads up to `length` bytes at `position` into the start of `into`; returns how many there were.
   * @throws Failure 'not-readable'
   */
  readInto(into: Uint8Array, length: number, position: number): number
  /** As readInto, without blocking the thread; may return fewer bytes before the end of the file. */
  readLater(into: Uint8Array, length: number, position: number): Promise<number>
  /** Harmless when it is closed already. */
  close(): void
}

const readAsync = promisify(read)

/**
 * @param wanted what to choose instead, for the error message: 'a recording'
 * @throws Failure 'not-found' or 'not-readable' (folder, permission, pipe, socket, device)
 */
export function openOrdinaryFile(path: string, wanted: string): OrdinaryFile {
  const { descriptor, sizeBytes } = openDescriptor(path, wanted)
  let isOpen = true
  const opened = (): number => {
    if (!isOpen) throw new Error(`${path} is already closed`)
    return descriptor
  }
  return {
    sizeBytes,
    readInto(into, length, position) {
      const from = opened()
      let done = 0
      try {
        while (done < length) {
          const got = readSync(from, into, done, length - done, position + done)
          if (got === 0) break
          done += got
        }
      } catch (error) {
        throw readFailure(error, path)
      }
      return done
    },
    async readLater(into, length, position) {
      const from = opened()
      try {
        return (await readAsync(from, into, 0, length, position)).bytesRead
      } catch (error) {
        throw readFailure(error, path)
      }
    },
    close() {
      if (isOpen) closeSync(descriptor)
      isOpen = false
    },
  }
}

function openDescriptor(path: string, wanted: string): { descriptor: number; sizeBytes: number } {
  try {
    // Checked before opening, because opening alone makes some devices act.
    refuseOther(statSync(path), path, wanted)
    // Another file may have taken its place since; with O_NONBLOCK, even a pipe opens without blocking.
    const descriptor = openSync(path, constants.O_RDONLY | (constants.O_NONBLOCK ?? 0))
    try {
      const facts = fstatSync(descriptor)
      refuseOther(facts, path, wanted)
      return { descriptor, sizeBytes: facts.size }
    } catch (error) {
      closeSync(descriptor)
      throw error
    }
  } catch (error) {
    throw readFailure(error, path)
  }
}

function refuseOther(facts: Stats, path: string, wanted: string): void {
  if (facts.isFile()) return
  const sentence = facts.isDirectory()
    ? `${path} is a folder; choose ${wanted} inside it.`
    : `${path} is not an ordinary file; choose ${wanted}.`
  throw new Failure('not-readable', sentence, { path })
}
