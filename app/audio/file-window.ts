// Reads a file forwards through one buffer, for parsers that need a minimum number of bytes at a position.

import type { InputFile } from './input-file.ts'

interface Stretch {
  /** Valid until the next call. */
  readonly bytes: Uint8Array
  /** The requested position is bytes[start]; bytes up to `end` are valid. */
  readonly start: number
  readonly end: number
  readonly isEndOfFile: boolean
}

/** Bytes of a file around a position that only moves forward. */
export interface FileWindow {
  /** At least `length` bytes from `position`, or the rest of the file. Positions must not decrease. */
  from(position: number): Stretch
}

/** Buffer size in window lengths: large enough that unread bytes are rarely copied. */
const LENGTHS = 4

/** @param length bytes available at any position, except near the end of the file */
export function createFileWindow(file: InputFile, length: number): FileWindow {
  const bytes = new Uint8Array(LENGTHS * length)
  let first = 0
  let filled = 0
  return {
    from(position) {
      const wanted = Math.max(0, Math.min(length, file.sizeBytes - position))
      if (position + wanted > first + filled) {
        const kept = Math.max(0, first + filled - position)
        bytes.copyWithin(0, filled - kept, filled)
        const room = Math.min(bytes.length - kept, file.sizeBytes - position - kept)
        filled = kept + file.readInto(bytes.subarray(kept), room, position + kept)
        first = position
      }
      const start = Math.min(filled, position - first)
      return { bytes, start, end: filled, isEndOfFile: first + filled >= file.sizeBytes }
    },
  }
}
