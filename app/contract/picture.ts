// Pictures of data-sheet plots: their routes, and which are accepted. That is decided from the header,
// before anything is decoded. Headers: PNG (W3C, third edition, 11.2.1), JPEG (ITU-T T.81, B.2.2),
// WebP container (RFC 9649, 2.5 to 2.7).

import { Failure } from './failure.ts'

/** Type and size in pixels. */
export interface PictureHeader {
  readonly type: 'png' | 'jpeg' | 'webp'
  readonly width: number
  readonly height: number
}

const MAX_PIXELS = 50_000_000
/** Size limit of a picture file. */
export const MAX_PICTURE_BYTES = 64 * 1024 * 1024

/** Route that stores the bytes of a picture (PUT) and responds with `{ "sha256": … }`. */
export const keepPictureRoute = (fileName: string): string => `/pictures/${encodeURIComponent(fileName)}`
/** Route of a stored picture (GET). */
export const pictureRoute = (sha256: string): string => `/pictures/${sha256}`

/**
 * Type and size of a picture from its bytes.
 * @throws Failure `not-supported` for anything but PNG, JPEG or WebP, `invalid-input` for one that is too large,
 *   `damaged` if the size cannot be read
 */
export function readPictureHeader(bytes: Uint8Array, fileName: string): PictureHeader {
  const type = typeOf(bytes)
  if (type === null) {
    throw new Failure(
      'not-supported',
      `${fileName} is not a picture that can be traced; choose a PNG, JPEG or WebP of the plot.`,
      { fileName },
    )
  }
  const size = type === 'png' ? pngSize(bytes) : type === 'jpeg' ? jpegSize(bytes) : webpSize(bytes)
  if (size === null || size[0] < 1 || size[1] < 1) {
    throw new Failure(
      'damaged',
      `${fileName} is damaged: its size cannot be read. Save or download it again.`,
      {
        fileName,
      },
    )
  }
  const [width, height] = size
  if (width * height > MAX_PIXELS || bytes.length > MAX_PICTURE_BYTES) {
    throw new Failure(
      'invalid-input',
      `${fileName} is too large (${width} by ${height} pixels; at most ${MAX_PIXELS / 1e6} megapixels and 64 MB can be traced); crop it to the plot, or make it smaller.`,
      { fileName, width, height },
    )
  }
  return { type, width, height }
}

const word = (bytes: Uint8Array, at: number, length: number): string =>
  String.fromCharCode(...bytes.subarray(at, at + length))
const big16 = (bytes: Uint8Array, at: number): number => bytes[at] * 256 + bytes[at + 1]
const big32 = (bytes: Uint8Array, at: number): number => big16(bytes, at) * 65_536 + big16(bytes, at + 2)
const little24 = (bytes: Uint8Array, at: number): number =>
  bytes[at] + bytes[at + 1] * 256 + bytes[at + 2] * 65_536

function typeOf(bytes: Uint8Array): PictureHeader['type'] | null {
  if (word(bytes, 0, 8) === '\x89PNG\r\n\x1a\n') return 'png'
  if (bytes[0] === 0xff && bytes[1] === 0xd8 && bytes[2] === 0xff) return 'jpeg'
  return word(bytes, 0, 4) === 'RIFF' && word(bytes, 8, 4) === 'WEBP' ? 'webp' : null
}

type Size = readonly [width: number, height: number] | null

const pngSize = (bytes: Uint8Array): Size =>
  bytes.length < 24 || word(bytes, 12, 4) !== 'IHDR' ? null : [big32(bytes, 16), big32(bytes, 20)]

/** Walks the segments to the start of frame (SOF). */
function jpegSize(bytes: Uint8Array): Size {
  let at = 2
  while (at + 9 < bytes.length) {
    if (bytes[at] !== 0xff) return null
    const marker = bytes[at + 1]
    if (marker === 0xff) {
      at++
      continue
    }
    // C4, C8 and CC are in the range of SOF markers but are not frames (DHT, reserved, DAC).
    const isFrame = marker >= 0xc0 && marker <= 0xcf && marker !== 0xc4 && marker !== 0xc8 && marker !== 0xcc
    if (isFrame) return [big16(bytes, at + 7), big16(bytes, at + 5)]
    at += 2 + big16(bytes, at + 2)
  }
  return null
}

function webpSize(bytes: Uint8Array): Size {
  if (bytes.length < 30) return null
  switch (word(bytes, 12, 4)) {
    case 'VP8X':
      return [little24(bytes, 24) + 1, little24(bytes, 27) + 1]
    case 'VP8L': {
      const low = little24(bytes, 21)
      const high = little24(bytes, 22) >> 6
      return [(low & 0x3fff) + 1, (high & 0x3fff) + 1]
    }
    case 'VP8 ':
      return [(bytes[26] + bytes[27] * 256) & 0x3fff, (bytes[28] + bytes[29] * 256) & 0x3fff]
    default:
      return null
  }
}
