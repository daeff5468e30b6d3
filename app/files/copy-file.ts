// Copies a file byte for byte, and says what the bytes were.

import { createHash } from 'node:crypto'
import { cancelledFailure } from '../contract/failure.ts'
import { createFileInside } from './new-file.ts'
import { openOrdinaryFile } from './open-ordinary-file.ts'

const SPAN_BYTES = 1 << 20

/**
 * Copies `from` into an unfinished folder (createNewFolder), flushed to the disk.
 * @param wanted what `from` should be, for the error message: 'a recording'
 * @param onBytes called with the bytes copied so far
 * @returns SHA-256 of the bytes that were written
 * @throws Failure of reading or writing, and 'cancelled'; the copy is removed then
 */
export async function copyFileInside(
  from: string,
  to: string,
  wanted: string,
  signal: AbortSignal,
  onBytes: (bytes: number) => void,
): Promise<string> {
  const source = openOrdinaryFile(from, wanted)
  try {
    const copy = createFileInside(to)
    try {
      const hash = createHash('sha256')
      const span = Buffer.allocUnsafe(SPAN_BYTES)
      let done = 0
      // A file that is still being written may never end, so copying stops past its size at the start.
      while (done <= source.sizeBytes) {
        if (signal.aborted) throw cancelledFailure()
        const count = await source.readLater(span, SPAN_BYTES, done)
        if (count === 0) break
        const bytes = span.subarray(0, count)
        hash.update(bytes)
        copy.write(bytes, done)
        done += count
        onBytes(done)
      }
      copy.commit()
      return hash.digest('hex')
    } catch (error) {
      copy.discard()
      throw error
    }
  } finally {
    source.close()
  }
}
