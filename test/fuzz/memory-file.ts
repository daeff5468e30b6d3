// A file in memory that counts what is read of it.

import type { InputFile } from '../../app/audio/input-file.ts'

export interface MemoryFile extends InputFile {
  readonly bytesRead: number
}

export function memoryFile(contents: Buffer): MemoryFile {
  let bytesRead = 0
  const readInto = (into: Uint8Array, length: number, position: number): number => {
    const piece = contents.subarray(Math.min(position, contents.length), position + length)
    into.set(piece)
    bytesRead += piece.length
    return piece.length
  }
  return {
    path: '/takes/mutant',
    sizeBytes: contents.length,
    readInto,
    bytes(position, length) {
      const into = Buffer.alloc(Math.max(0, Math.min(length, contents.length - position)))
      return into.subarray(0, readInto(into, into.length, position))
    },
    close() {},
    get bytesRead() {
      return bytesRead
    },
  }
}
