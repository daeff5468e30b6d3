// A file read forwards through one buffer, for parsers that need so many bytes from a place on.

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
  /** At least the window's length from `position` on, or all that there is; positions never go back. */
  from(position: number): Stretch
}

/** Reads this many lengths at once, so that leftovers are rarely copied. */
const LENGTHS = 4

/** @param length bytes that are always at hand from the position on */
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
