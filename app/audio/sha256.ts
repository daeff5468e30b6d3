// The name a take is known by: the SHA-256 (FIPS 180-4) of the bytes of its file,
// streamed.

import { createHash } from 'node:crypto'
import { createReadStream } from 'node:fs'
import { stat } from 'node:fs/promises'
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
    const facts = await stat(path)
    if (facts.isDirectory()) throw folderFailure(path)
    const stream = createReadStream(
      path,
      signal ? { signal, highWaterMark: SPAN_BYTES } : { highWaterMark: SPAN_BYTES },
    )
    let doneBytes = 0
    for await (const span of stream) {
      hash.update(span)
      doneBytes += span.length
      onProgress?.(doneBytes, facts.size)
    }
  } catch (error) {
    if (signal?.aborted) {
      throw new Failure('cancelled', `Reading ${path} was cancelled.`, { path }, error)
    }
    throw readFailure(error, path)
  }
  return hash.digest('hex')
}
