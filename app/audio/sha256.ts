// The name a take is known by: the SHA-256 (FIPS 180-4) of the bytes of its file,
// streamed.

import { createHash } from 'node:crypto'
import { open } from 'node:fs/promises'
import { Failure } from '../contract/failure.ts'
import { folderFailure, readFailure } from './file-failures.ts'

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
      // One buffer for all of it: a stream would leave a new one behind for every span.
      const span = Buffer.allocUnsafe(SPAN_BYTES)
      for (let doneBytes = 0; ; ) {
        signal?.throwIfAborted()
        const { bytesRead } = await file.read(span, 0, SPAN_BYTES, null)
        if (bytesRead === 0) break
        hash.update(span.subarray(0, bytesRead))
        doneBytes += bytesRead
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
