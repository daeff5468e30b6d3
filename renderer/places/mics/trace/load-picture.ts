// A picture out of a file: its kind and size checked before it is decoded, then its pixels.

import { Failure } from '../../../../app/contract/failure.ts'
import {
  keepPictureRoute,
  MOST_PICTURE_BYTES,
  pictureRoute,
  readPictureHeader,
} from '../../../../app/contract/picture.ts'
import { fetchFromHost } from '../../../state/host-fetch.ts'
import type { Pixels } from './colour.ts'

export interface TracedPicture {
  readonly fileName: string
  readonly bytes: Blob
  /** Address of the bytes for as long as the window is open. */
  readonly url: string
  readonly pixels: Pixels
}

/** @throws Failure that says why the picture cannot be used */
export async function loadPicture(bytes: Blob, fileName: string): Promise<TracedPicture> {
  // The header alone tells an archive or a film that was dropped by mistake, without reading all of it.
  const head = bytes.size > MOST_PICTURE_BYTES ? bytes.slice(0, 65_536) : bytes
  readPictureHeader(new Uint8Array(await head.arrayBuffer()), fileName)
  if (bytes.size > MOST_PICTURE_BYTES) {
    throw new Failure(
      'invalid-input',
      `${fileName} has more than 64 MB; cut out the plot, or make the picture smaller.`,
      {
        fileName,
      },
    )
  }
  let bitmap: ImageBitmap
  try {
    bitmap = await createImageBitmap(bytes)
  } catch (error) {
    throw new Failure(
      'damaged',
      `${fileName} cannot be shown: it is damaged. Save or download it again, or take a picture of the screen.`,
      { fileName },
      error,
    )
  }
  const canvas = new OffscreenCanvas(bitmap.width, bitmap.height)
  const context = canvas.getContext('2d', { willReadFrequently: true })
  if (context === null) throw new Error('no drawing surface')
  context.drawImage(bitmap, 0, 0)
  bitmap.close()
  const pixels = context.getImageData(0, 0, canvas.width, canvas.height)
  return { fileName, bytes, url: URL.createObjectURL(bytes), pixels: pixels as Pixels }
}

/** The picture that a curve was traced from. */
export async function fetchPicture(sha256: string, fileName: string): Promise<TracedPicture> {
  const answer = await fetchFromHost(pictureRoute(sha256))
  if (!answer.ok) throw await failureOf(answer)
  return loadPicture(await answer.blob(), fileName)
}

/** @returns the hash under which it is kept */
export async function keepPicture({ fileName, bytes }: TracedPicture): Promise<string> {
  const answer = await fetchFromHost(keepPictureRoute(fileName), { method: 'PUT', body: bytes })
  if (!answer.ok) throw await failureOf(answer)
  return ((await answer.json()) as { sha256: string }).sha256
}

async function failureOf(answer: Response): Promise<Error> {
  const text = await answer.text()
  try {
    return Failure.fromData(JSON.parse(text))
  } catch {
    return new Error(`The picture could not be fetched or kept: ${answer.status} ${text}`)
  }
}
