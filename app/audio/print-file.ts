// Stores the print of a take, by which copies are recognised, beside its peaks: 12 KB per minute.

import { Failure } from '../contract/failure.ts'
import type { VoicePrint } from '../dsp/check/voice-print.ts'

const MAGIC = 'TLPR'
const VERSION = 1
const HEADER_BYTES = 18

/** Whether a file that begins with these bytes is a print. */
export const isPrintHead = (head: Uint8Array): boolean => Buffer.from(head).toString('latin1', 0, 4) === MAGIC

/** Little-endian: 'TLPR', version u16, rate in Hz f64, number of bits u32, the bits, lowest first. */
export function encodePrint({ rateHz, length, bits }: VoicePrint): Uint8Array {
  const bytes = Buffer.alloc(HEADER_BYTES + bits.length)
  bytes.write(MAGIC, 0, 'latin1')
  bytes.writeUInt16LE(VERSION, 4)
  bytes.writeDoubleLE(rateHz, 6)
  bytes.writeUInt32LE(length, 14)
  bytes.set(bits, HEADER_BYTES)
  return bytes
}

/** @throws Failure 'damaged' for anything but a print of this version */
export function decodePrint(encoded: Uint8Array): VoicePrint {
  const bytes = Buffer.from(encoded.buffer, encoded.byteOffset, encoded.byteLength)
  const isPrint =
    bytes.length >= HEADER_BYTES &&
    bytes.toString('latin1', 0, 4) === MAGIC &&
    bytes.readUInt16LE(4) === VERSION &&
    bytes.readDoubleLE(6) > 0 &&
    bytes.length === HEADER_BYTES + Math.ceil(bytes.readUInt32LE(14) / 8)
  if (!isPrint) {
    throw new Failure('damaged', 'The stored print of a take is damaged; it is made again when it is needed.')
  }
  return { rateHz: bytes.readDoubleLE(6), length: bytes.readUInt32LE(14), bits: bytes.subarray(HEADER_BYTES) }
}
