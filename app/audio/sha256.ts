// The name a take is known by: the SHA-256 (FIPS 180-4) of the bytes of its file,
// streamed.

import { createHash } from 'node:crypto'
import { open } from 'node:fs/promises'
import { Failure } from '../contract/failure.ts'
import { folderFailure, readFailure } from '../files/file-failures.ts'

const SPAN_BYTES = 1 << 20

/**
 * SHA-256 of the file's bytes as 64 lower-case hexadecimal digits.
 * @param onProgress called after every span with the bytes done and the bytes in all
 * @throws Failure 'not-found', 'not-readable'; 'cancelled' once `signal` is aborted
 */
export async function hashFile(
  path: string,
  signal?: AbortSignal,
  onProgress?: (doneBytes: number, totalBytes: number) => void,
): Promise<string> {
  const hash = createHash('sha256')
  try {
    const file = await open(path)
    try {
      const facts = await file.stat()
      if (facts.isDirectory()) throw folderFailure(path)
      // Two buffers for all of it, one being filled while the other is hashed: a stream would
      // leave a new one behind for every span.
      let filled = Buffer.allocUnsafe(SPAN_BYTES)
      let filling = Buffer.allocUnsafe(SPAN_BYTES)
      let { bytesRead } = await file.read(filled, 0, SPAN_BYTES, 0)
      for (let doneBytes = 0; bytesRead > 0; ) {
        signal?.throwIfAborted()
        doneBytes += bytesRead
        const reading = file.read(filling, 0, SPAN_BYTES, doneBytes)
        hash.update(filled.subarray(0, bytesRead))
        bytesRead = (await reading).bytesRead
        const hashed = filled
        filled = filling
        filling = hashed
        onProgress?.(doneBytes, facts.size)
      }
    } finally {
      await file.close()
    }
  } catch (error) {
    if (signal?.aborted) {
      throw new Failure('cancelled', `Reading ${path} was cancelled.`, { path }, error)
    }
    throw readFailure(error, path)
  }
  return hash.digest('hex')
}
