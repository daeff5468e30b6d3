// Iterates over the chunks of a RIFF (little-endian) or FORM (big-endian) file. A chunk is a
// four-character id, a size, the contents, and a pad byte when the size is odd.

import { Failure } from '../contract/failure.ts'
import { textAt } from './content-kind.ts'
import type { InputFile } from './input-file.ts'

/** A chunk of a RIFF or IFF file. */
export interface Chunk {
  readonly id: string
  /** As declared in the file; may exceed what is there. */
  readonly sizeBytes: number
  /** Where the contents start, in bytes from the start of the file. */
  readonly startByte: number
}

const HEADER_BYTES = 8
/** Far more than any recorder writes; without it, a damaged file of tiny chunks would take minutes. */
const MAX_CHUNKS = 10_000

/**
 * Walks the chunks from `fromByte` to the end of the file, regardless of the size that the outer
 * chunk claims (recorders that crash leave that wrong). Stops at the first bytes that cannot be a chunk.
 * @param sizeOf returns the true size of a chunk whose 32-bit size is a placeholder (RF64)
 */
export function* chunksOf(
  file: InputFile,
  fromByte: number,
  byteOrder: 'little' | 'big',
  sizeOf: (id: string, size32: number) => number = (_id, size32) => size32,
): Generator<Chunk> {
  let at = fromByte
  for (let count = 0; count < MAX_CHUNKS; count++) {
    const header = file.bytes(at, HEADER_BYTES)
    if (!isChunkHeader(header)) return
    const id = textAt(header, 0, 4)
    const sizeBytes = sizeOf(id, byteOrder === 'little' ? header.readUInt32LE(4) : header.readUInt32BE(4))
    const startByte = at + HEADER_BYTES
    yield { id, sizeBytes, startByte }
    const endByte = startByte + sizeBytes
    at = endByte + (sizeBytes % 2)
    // Some programs forget the pad byte.
    if (at !== endByte && !isChunkHeader(file.bytes(at, HEADER_BYTES))) at = endByte
  }
  throw new Failure(
    'damaged',
    `${file.path} is damaged: it contains more than ${MAX_CHUNKS} chunks. Export the recording again.`,
    {
      path: file.path,
    },
  )
}

/** Number of bytes after `chunk` that are not in a complete chunk. Parameters as for chunksOf. */
export function bytesBehindChunks(
  file: InputFile,
  chunk: Chunk,
  byteOrder: 'little' | 'big',
  sizeOf?: (id: string, size32: number) => number,
): number {
  let endByte = 0
  for (const { startByte, sizeBytes } of chunksOf(file, chunk.startByte - HEADER_BYTES, byteOrder, sizeOf)) {
    if (startByte + sizeBytes > file.sizeBytes) break
    endByte = startByte + sizeBytes + (sizeBytes % 2)
  }
  return Math.max(0, file.sizeBytes - endByte)
}

/** Whether these bytes can be a chunk header: at least eight, the first four printable ASCII. */
export function isChunkHeader(header: Uint8Array): boolean {
  if (header.length < HEADER_BYTES) return false
  for (let i = 0; i < 4; i++) if (header[i] < 0x20 || header[i] > 0x7e) return false
  return true
}
