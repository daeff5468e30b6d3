// Pictures that curves were traced from. Each is stored once, named by its hash.

import { createHash } from 'node:crypto'
import { existsSync } from 'node:fs'
import { readdir, readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { Failure } from '../../contract/failure.ts'
import { MAX_PICTURE_BYTES, readPictureHeader } from '../../contract/picture.ts'
import { ensureFolder, PRIVATE_FOLDER_MODE } from '../../files/ensure-folder.ts'
import { createPrivateFile } from '../../files/new-file.ts'
import { writeNewFile } from '../../files/write-file.ts'
import type { Workplace } from '../workplace.ts'

/** @throws Failure when the body is not a picture, is too large, or cannot be written */
export async function keepPicture({ folders }: Workplace, name: string, request: Request): Promise<Response> {
  const bytes = await bytesOf(request, name)
  const { type } = readPictureHeader(bytes, name)
  const sha256 = createHash('sha256').update(bytes).digest('hex')
  const path = join(folders.pictures, `${sha256}.${type}`)
  if (!existsSync(path)) {
    ensureFolder(folders.pictures, PRIVATE_FOLDER_MODE)
    try {
      writeNewFile(path, bytes, createPrivateFile)
    } catch (error) {
      // Another request stored the same picture at the same time.
      if (!(error instanceof Failure && error.code === 'conflict')) throw error
    }
  }
  return Response.json({ sha256 })
}

/** @throws Failure `not-found` */
export async function pictureOf({ folders }: Workplace, sha256: string): Promise<Response> {
  const names = await readdir(folders.pictures).catch(() => [])
  const name = names.find((one) => one.startsWith(`${sha256}.`))
  if (name === undefined) {
    throw new Failure(
      'not-found',
      `The picture of this curve is no longer in ${folders.pictures}; the curve itself is whole. Choose the picture again to correct the trace.`,
    )
  }
  return new Response(await readFile(join(folders.pictures, name)), {
    headers: {
      'content-type': `image/${name.split('.').at(-1)}`,
      // Named by its hash, so it never changes.
      'cache-control': 'private, max-age=31536000, immutable',
    },
  })
}

async function bytesOf(request: Request, name: string): Promise<Uint8Array> {
  const parts: Uint8Array[] = []
  let length = 0
  for await (const part of (request.body ?? []) as AsyncIterable<Uint8Array>) {
    parts.push(part)
    length += part.length
    if (length > MAX_PICTURE_BYTES) {
      throw new Failure(
        'invalid-input',
        `${name} has more than 64 MB; crop it to the plot, or make it smaller.`,
        { fileName: name },
      )
    }
  }
  return Buffer.concat(parts)
}
