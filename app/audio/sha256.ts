// Computes the identifier of a take: the SHA-256 (FIPS 180-4) of its file, read in spans; also other hashes.

import { createHash } from 'node:crypto'
import { Failure } from '../contract/failure.ts'
import { MAX_TAKE_BYTES } from '../contract/text/limits.ts'
import { openOrdinaryFile } from '../files/open-ordinary-file.ts'

const SPAN_BYTES = 1 << 20

/** SHA-256, and what bags of other programs are listed by. */
export type HashAlgorithm = 'sha256' | 'md5' | 'sha1' | 'sha224' | 'sha384' | 'sha512'

/**
 * SHA-256 of the file's bytes, unless another algorithm is named, as lower-case hexadecimal digits.
 * @param onProgress called and awaited after every span, with the bytes done and the total
 * @throws Failure 'not-found', 'not-readable', 'not-supported' (too large), 'changed' (its length changed
 *   after it was opened); 'cancelled' once `signal` is aborted
 */
export async function hashFile(
  path: string,
  signal?: AbortSignal,
  onProgress?: (doneBytes: number, totalBytes: number) => void | Promise<void>,
  algorithm: HashAlgorithm = 'sha256',
): Promise<string> {
  const file = openOrdinaryFile(path, 'a recording')
  const { sizeBytes } = file
  try {
    if (sizeBytes > MAX_TAKE_BYTES) throw tooLarge(path, sizeBytes)
    const hash = createHash(algorithm)
    // Two buffers for the whole file, one filled while the other is hashed: a stream would
    // allocate a new one for every span. One byte more than a short file has tells whether it has grown.
    const spanBytes = Math.min(SPAN_BYTES, sizeBytes + 1)
    let filled = Buffer.allocUnsafe(spanBytes)
    let filling = Buffer.allocUnsafe(spanBytes)
    let bytesRead = await file.readLater(filled, spanBytes, 0)
    let doneBytes = 0
    // A file that is still being written may never end, so reading stops past its size at the start.
    while (bytesRead > 0 && doneBytes <= sizeBytes) {
      signal?.throwIfAborted()
      doneBytes += bytesRead
      const reading = file.readLater(filling, spanBytes, doneBytes)
      hash.update(filled.subarray(0, bytesRead))
      bytesRead = await reading
      const hashed = filled
      filled = filling
      filling = hashed
      await onProgress?.(doneBytes, sizeBytes)
    }
    if (doneBytes !== sizeBytes) throw lengthChanged(path)
    return hash.digest('hex')
  } catch (error) {
    if (signal?.aborted) throw new Failure('cancelled', `Reading ${path} was cancelled.`, { path }, error)
    throw error
  } finally {
    file.close()
  }
}

const tooLarge = (path: string, sizeBytes: number): Failure =>
  new Failure(
    'not-supported',
    `${path} is ${Math.ceil(sizeBytes / 1e9)} GB, and a recording can be at most ${MAX_TAKE_BYTES / 1e9} GB; cut it into shorter files.`,
    { path, sizeBytes },
  )

const lengthChanged = (path: string): Failure =>
  new Failure(
    'changed',
    `${path} changed length while it was being read; wait until it is completely written, then try again.`,
    { path },
  )
