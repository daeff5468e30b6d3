// The sample rate that the head of a sound file names, for choosing a session's rate before the files are imported.
// Sources: RIFF/WAVE and RF64 (EBU Tech 3306), AIFF 1.3 (COMM chunk), FLAC (RFC 9639, section 8.2).

/** Bytes from a file's start that hold the format, unless a recorder wrote long chunks before it. */
export const HEAD_BYTES = 65_536

const textAt = (bytes: DataView, at: number): string =>
  String.fromCharCode(...[0, 1, 2, 3].map((k) => bytes.getUint8(at + k)))

/** Where the content of a chunk begins; null if it is not in these bytes. */
function chunkAt(bytes: DataView, name: string, isLittleEndian: boolean): number | null {
  for (let at = 12; at + 8 <= bytes.byteLength; ) {
    if (textAt(bytes, at) === name) return at + 8
    const size = bytes.getUint32(at + 4, isLittleEndian)
    at += 8 + size + (size % 2)
  }
  return null
}

/** An 80-bit IEEE 754 extended number, positive and without a fraction, as rates are. */
function extendedAt(bytes: DataView, at: number): number {
  const exponent = bytes.getUint16(at) - 16_383
  return bytes.getUint32(at + 2) * 2 ** (exponent - 31) + bytes.getUint32(at + 6) * 2 ** (exponent - 63)
}

/**
 * @param head the first bytes of a file, at most HEAD_BYTES
 * @returns in Hz; null where it is no such file, or the format stands farther behind
 */
export function headerRateHz(head: ArrayBuffer): number | null {
  const bytes = new DataView(head)
  if (bytes.byteLength < 22) return null
  switch (textAt(bytes, 0)) {
    case 'RIFF':
    case 'RF64':
    case 'BW64': {
      const at = chunkAt(bytes, 'fmt ', true)
      return at === null || at + 8 > bytes.byteLength ? null : bytes.getUint32(at + 4, true)
    }
    case 'FORM': {
      const at = chunkAt(bytes, 'COMM', false)
      return at === null || at + 18 > bytes.byteLength ? null : extendedAt(bytes, at + 8)
    }
    case 'fLaC':
      return ((bytes.getUint8(18) << 16) | (bytes.getUint8(19) << 8) | bytes.getUint8(20)) >> 4
    default:
      return null
  }
}

/** The value that occurs most often, the first of them where several do; null without values. */
export function commonest<T>(values: readonly T[]): T | null {
  const counts = new Map<T, number>()
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1)
  return [...counts].reduce<readonly [T | null, number]>(
    (best, one) => (one[1] > best[1] ? one : best),
    [null, 0],
  )[0]
}
