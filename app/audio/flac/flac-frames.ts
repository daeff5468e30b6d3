// Finds where the frames of a FLAC stream begin and end (RFC 9639 section 9). Frames follow each
// other without a gap, so each is expected only where the one before it ended:
// one pass over the bytes, for any input.

import type { FlacHeader } from './flac-header.ts'

/** The header of a FLAC frame (RFC 9639, section 9.1). */
export interface FrameHeader {
  readonly bytes: number
  /** Samples per channel. */
  readonly blockFrames: number
  /** Number of the frame or of its first sample, depending on the stream's blocking strategy. */
  readonly number: number
}

type StreamFacts = Pick<FlacHeader, 'channels' | 'bits'>

/** The longest header: 4 bytes, the coded number (7), block size (2), rate (2), CRC-8 (1). */
export const HEADER_MOST_BYTES = 16
/** The block size minus one is a 16-bit field. */
const MAX_BLOCK_FRAMES = 65_536
const FOOTER_BYTES = 2

const CRC8 = crcTable(8, 0x07)
const CRC16 = crcTable(16, 0x8005)

/** Section 9.1 and 9.3: CRC-8 and CRC-16 of each byte, most significant bit first, starting at zero. */
function crcTable(bits: 8 | 16, polynomial: number): Uint16Array {
  const top = 1 << (bits - 1)
  const mask = (1 << bits) - 1
  return Uint16Array.from({ length: 256 }, (_, byte) => {
    let crc = byte << (bits - 8)
    for (let bit = 0; bit < 8; bit++) crc = (crc & top ? (crc << 1) ^ polynomial : crc << 1) & mask
    return crc
  })
}

/**
 * Upper bound of the length of a frame, for encoders that store a block verbatim whenever that is
 * shorter; a side channel has one bit more.
 */
export const mostFrameBytes = ({ channels, bits }: StreamFacts): number =>
  Math.ceil((MAX_BLOCK_FRAMES * channels * (bits + 1)) / 8) + 1024

/** The frame header at `at`; null if these bytes are not a frame header of this stream (section 9.1). */
export function frameHeaderAt(
  bytes: Uint8Array,
  at: number,
  end: number,
  { channels, bits }: StreamFacts,
): FrameHeader | null {
  if (at + 6 > end || bytes[at] !== 0xff || (bytes[at + 1] & 0xfe) !== 0xf8) return null
  const sizeCode = bytes[at + 2] >> 4
  const rateCode = bytes[at + 2] & 15
  if (sizeCode === 0 || rateCode === 15 || (bytes[at + 3] & 1) !== 0) return null
  if (channelsOf(bytes[at + 3] >> 4) !== channels) return null
  const depth = BITS[(bytes[at + 3] >> 1) & 7]
  if (depth !== 0 && depth !== bits) return null
  const coded = codedNumberAt(bytes, at + 4, end)
  if (coded === null) return null
  const sizeAt = at + 4 + coded.bytes
  const sizeBytes = sizeCode === 6 ? 1 : sizeCode === 7 ? 2 : 0
  const rateBytes = rateCode === 12 ? 1 : rateCode === 13 || rateCode === 14 ? 2 : 0
  const crcAt = sizeAt + sizeBytes + rateBytes
  if (crcAt >= end) return null
  if (crc8(bytes, at, crcAt) !== bytes[crcAt]) return null
  return {
    bytes: crcAt + 1 - at,
    blockFrames: blockFramesOf(sizeCode, bytes, sizeAt),
    number: coded.number,
  }
}

/** 0 means the value of STREAMINFO; -1 is reserved. */
const BITS = [0, 8, 12, -1, 16, 20, 24, 32]

/** Codes 8 to 10 are stereo with a side channel; those above are reserved. */
const channelsOf = (code: number): number => (code < 8 ? code + 1 : code < 11 ? 2 : -1)

function blockFramesOf(code: number, bytes: Uint8Array, at: number): number {
  if (code === 1) return 192
  if (code < 6) return 144 << code
  if (code === 6) return bytes[at] + 1
  if (code === 7) return bytes[at] * 256 + bytes[at + 1] + 1
  return 1 << code
}

/** Section 9.1.5: coded like UTF-8, in up to 7 bytes. */
function codedNumberAt(bytes: Uint8Array, at: number, end: number): { bytes: number; number: number } | null {
  const first = bytes[at]
  if (first < 0x80) return { bytes: 1, number: first }
  const length = Math.clz32(~(first << 24))
  if (length < 2 || length > 7 || at + length > end) return null
  let number = first & (0x7f >> length)
  for (let i = 1; i < length; i++) {
    const next = bytes[at + i]
    if ((next & 0xc0) !== 0x80) return null
    number = number * 64 + (next & 0x3f)
  }
  return { bytes: length, number }
}

/** Possible lengths of a frame, in the order in which to try them. */
export interface FrameLengths {
  readonly bytes: readonly number[]
  /** Whether the next frame or the end of the file follows; otherwise the frame is the last or damaged. */
  readonly isSure: boolean
}

/** One position in 65536 looks like an end by chance; at most this many are tried. */
const MAX_GUESSES = 64
/** Zero bytes after the end keep the CRC at zero; after a footer of two zeros the end is third in the run. */
const MOST_OF_RUN = 3

/**
 * Length of the frame at `at`: it ends where the next frame header or the end of the file follows
 * a valid CRC-16, that is where the CRC over the frame and its footer is zero. If there is no
 * such position (a tag after the last frame), every position with a valid CRC-16 is a candidate.
 * @param isEndOfFile whether nothing follows `end`
 */
export function frameLengthsAt(
  bytes: Uint8Array,
  at: number,
  end: number,
  header: FrameHeader,
  stream: StreamFacts,
  isEndOfFile: boolean,
): FrameLengths {
  const least = at + header.bytes + FOOTER_BYTES
  const guesses: number[] = []
  let run = 0
  let crc = 0
  for (let i = at; i <= end; i++) {
    if (crc !== 0 || i <= least) run = 0
    else if (run++ < MOST_OF_RUN) {
      const isSure = i < end ? frameHeaderAt(bytes, i, end, stream) !== null : isEndOfFile && run === 1
      if (isSure) return { bytes: [i - at], isSure }
      if (guesses.length < MAX_GUESSES) guesses.push(i - at)
    }
    if (i < end) crc = ((crc << 8) & 0xffff) ^ CRC16[(crc >> 8) ^ bytes[i]]
  }
  return { bytes: guesses, isSure: false }
}

/**
 * The frame with its bit depth and a sample rate in its own header: frames may leave both to STREAMINFO,
 * which a decoder of single frames never sees. The rate does not affect the samples, so any will do.
 */
export function selfContained(frame: Uint8Array, header: FrameHeader, { bits }: StreamFacts): Uint8Array {
  const RATE_48_KHZ = 10
  const saysRate = (frame[2] & 15) !== 0
  const saysBits = (frame[3] & 14) !== 0
  if (saysRate && saysBits) return frame
  const own = Uint8Array.from(frame)
  if (!saysRate) own[2] |= RATE_48_KHZ
  if (!saysBits) own[3] |= BITS.indexOf(bits) << 1
  const crcAt = header.bytes - 1
  own[crcAt] = crc8(own, 0, crcAt)
  const footerAt = own.length - FOOTER_BYTES
  const crc = crc16(own, 0, footerAt)
  own[footerAt] = crc >> 8
  own[footerAt + 1] = crc & 0xff
  return own
}

function crc8(bytes: Uint8Array, from: number, to: number): number {
  let crc = 0
  for (let i = from; i < to; i++) crc = CRC8[crc ^ bytes[i]]
  return crc
}

function crc16(bytes: Uint8Array, from: number, to: number): number {
  let crc = 0
  for (let i = from; i < to; i++) crc = ((crc << 8) & 0xffff) ^ CRC16[(crc >> 8) ^ bytes[i]]
  return crc
}

/** Whether a frame header of the stream with a later number is anywhere from `at` on. */
export function hasLaterFrame(
  bytes: Uint8Array,
  at: number,
  end: number,
  number: number,
  stream: StreamFacts,
): boolean {
  for (let i = bytes.indexOf(0xff, at); i >= 0 && i < end; i = bytes.indexOf(0xff, i + 1)) {
    const header = frameHeaderAt(bytes, i, end, stream)
    if (header !== null && header.number > number) return true
  }
  return false
}
