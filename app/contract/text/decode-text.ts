// Decodes a text file in the encodings that spreadsheets and measurement programs
// write: UTF-8, UTF-16 in either byte order, and Windows-1252 if it is neither.

/** How much of the start is examined to detect UTF-16 without a byte order mark. */
const LOOKED_AT_BYTES = 4096

/** The text without its byte order mark; never fails, whatever the bytes are. */
export function decodeText(bytes: Uint8Array): string {
  switch (byteOrderOf(bytes)) {
    case 'little':
      return new TextDecoder('utf-16le').decode(bytes)
    case 'big':
      return new TextDecoder('utf-16le').decode(swapped(bytes))
    default:
      return decodeBytes(bytes)
  }
}

function decodeBytes(bytes: Uint8Array): string {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes)
  } catch {
    return new TextDecoder('windows-1252').decode(bytes)
  }
}

/** Byte order of UTF-16, or null if the bytes are not UTF-16: there ASCII has a zero in every other byte. */
function byteOrderOf(bytes: Uint8Array): 'little' | 'big' | null {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return 'little'
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return 'big'
  const pairs = Math.min(bytes.length, LOOKED_AT_BYTES) >> 1
  let first = 0
  let second = 0
  for (let pair = 0; pair < pairs; pair++) {
    if (bytes[2 * pair] === 0) first++
    if (bytes[2 * pair + 1] === 0) second++
  }
  if (second > pairs / 2 && first === 0) return 'little'
  return first > pairs / 2 && second === 0 ? 'big' : null
}

function swapped(bytes: Uint8Array): Uint8Array {
  const even = bytes.length - (bytes.length % 2)
  const others = new Uint8Array(even)
  for (let i = 0; i < even; i += 2) {
    others[i] = bytes[i + 1]
    others[i + 1] = bytes[i]
  }
  return others
}
