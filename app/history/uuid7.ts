// Identifiers that hold on every computer: UUID version 7 (RFC 9562, 5.7). They sort by the time of making.

import { randomBytes } from 'node:crypto'

/** Bits after the time, the version and the variant. */
const RANDOM_BYTES = 10

/**
 * A UUID version 7 as text, in lower case.
 * @param unixMs whole milliseconds since 1970, 48 bits
 * @param random ten bytes, of which 74 bits are used; from the system's generator if omitted
 */
export function uuid7(unixMs: number, random: Uint8Array = randomBytes(RANDOM_BYTES)): string {
  const bytes = Buffer.alloc(16)
  bytes.writeUIntBE(Math.min(Math.max(Math.floor(unixMs), 0), 2 ** 48 - 1), 0, 6)
  bytes.set(random.subarray(0, RANDOM_BYTES), 6)
  bytes[6] = (bytes[6]! & 0x0f) | 0x70
  bytes[8] = (bytes[8]! & 0x3f) | 0x80
  const hex = bytes.toString('hex')
  return [8, 12, 16, 20, 32].map((end, i) => hex.slice([0, 8, 12, 16, 20][i], end)).join('-')
}
