// Request bodies that the host accepts: takes and pictures, each on its own route and up to a size limit.

import { statfs } from 'node:fs/promises'
import type { IncomingMessage } from 'node:http'
import { dirname } from 'node:path'
import { Failure } from '../../contract/failure.ts'
import { MAX_PICTURE_BYTES } from '../../contract/picture.ts'
import type { Workplace } from '../../services/workplace.ts'

/** 16 GiB: more than eight hours of 24-bit stereo at 96 kHz. */
const MAX_TAKE_BYTES = 16 * 2 ** 30
/** Left free on the disk, for the catalogue and the outlines: 256 MiB. */
const KEPT_FREE_BYTES = 256 * 2 ** 20

/** Size limit of a body. */
export interface BodyLimit {
  readonly bytes: number
  /** The failure for a longer body. */
  failure(): Failure
}

/** null for a path that accepts no body. */
export function bodyLimitOf(path: string, workplace: Workplace): Promise<BodyLimit> | BodyLimit | null {
  if (/^\/incoming\/[^/]+$/.test(path)) return takeLimit(dirname(workplace.folders.incoming))
  if (/^\/pictures\/[^/]+$/.test(path)) return PICTURE_LIMIT
  return null
}

const PICTURE_LIMIT: BodyLimit = {
  bytes: MAX_PICTURE_BYTES,
  failure: () =>
    new Failure(
      'invalid-input',
      'This picture has more than 64 MB; crop it to the plot, or make it smaller.',
    ),
}

/** @param folder where takes are stored, or the existing folder above it */
async function takeLimit(folder: string): Promise<BodyLimit> {
  const { blocks, bavail, bsize } = await statfs(folder)
  // Some file systems do not report their size.
  const free = blocks === 0 ? Number.POSITIVE_INFINITY : Math.max(0, bavail * bsize - KEPT_FREE_BYTES)
  if (free < MAX_TAKE_BYTES) {
    return {
      bytes: free,
      failure: () =>
        new Failure(
          'disk-full',
          `The disk of ${folder} has room for ${inMegabytes(free)} more, and this file is larger; free some space and import it again.`,
          { path: folder },
        ),
    }
  }
  return {
    bytes: MAX_TAKE_BYTES,
    failure: () =>
      new Failure(
        'invalid-input',
        'This file has more than 16 GB; split the recording, and import its parts.',
      ),
  }
}

const inMegabytes = (bytes: number): string => `${Math.floor(bytes / 1e6)} MB`

/** The body of a request. @throws Failure of the limit when the body exceeds it */
export async function* bodyUpTo(limit: BodyLimit, request: IncomingMessage): AsyncGenerator<Uint8Array> {
  let sent = 0
  // Stopping early must leave the connection open, so that the refusal can be sent.
  for await (const part of request.iterator({ destroyOnReturn: false }) as AsyncIterable<Uint8Array>) {
    sent += part.length
    if (sent > limit.bytes) throw limit.failure()
    yield part
  }
}
