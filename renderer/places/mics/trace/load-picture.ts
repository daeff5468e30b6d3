// Loads a picture: checks its format and size before decoding, then reads its pixels.

import { Failure } from '../../../../app/contract/failure.ts'
import {
  keepPictureRoute,
  MAX_PICTURE_BYTES,
  pictureRoute,
  readPictureHeader,
} from '../../../../app/contract/picture.ts'
import { fetchFromHost } from '../../../state/host-fetch.ts'
import type { Pixels } from './colour.ts'

/** A decoded picture with its original bytes. */
export interface TracedPicture {
  readonly fileName: string
  readonly bytes: Blob
  /** Object URL of the bytes, valid while the window is open. */
  readonly url: string
  readonly pixels: Pixels
}

/** @throws Failure where the picture is too large, damaged or of an unknown format */
export async function loadPicture(bytes: Blob, fileName: string): Promise<TracedPicture> {
  // Reading the header is enough to reject an archive or a video that was dropped by mistake.
  const head = bytes.size > MAX_PICTURE_BYTES ? bytes.slice(0, 65_536) : bytes
  readPictureHeader(new Uint8Array(await head.arrayBuffer()), fileName)
  if (bytes.size > MAX_PICTURE_BYTES) {
    throw new Failure(
      'invalid-input',
      `${fileName} is larger than 64 MB. Crop it to the plot or reduce its size.`,
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
      `${fileName} is damaged and cannot be opened. Save or download it again, or take a screenshot.`,
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

/** Loads the stored picture of a traced curve. @throws Failure where it is missing or damaged */
export async function fetchPicture(sha256: string, fileName: string): Promise<TracedPicture> {
  const answer = await fetchFromHost(pictureRoute(sha256))
  if (!answer.ok) throw await failureOf(answer)
  return loadPicture(await answer.blob(), fileName)
}

/** Stores the picture in the catalogue. @returns its SHA-256 @throws Failure where that fails */
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
    return new Error(`The picture could not be loaded or saved: ${answer.status} ${text}`)
  }
}
