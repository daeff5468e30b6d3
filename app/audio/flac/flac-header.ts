// Reads the metadata blocks of a FLAC file (RFC 9639 section 8): STREAMINFO, and the bext chunk
// if the encoder preserved the chunks of its WAVE source.

import { Failure } from '../../contract/failure.ts'
import { textAt } from '../content-kind.ts'
import type { InputFile } from '../input-file.ts'
import { checkRateAndChannels, refuseTooLong } from '../pcm-layout.ts'
import type { WaveEncoding } from '../sample-encoding.ts'
import { type BroadcastInfo, decodeBroadcast } from '../wave/broadcast.ts'

/** STREAMINFO of a FLAC file (RFC 9639, section 8.2), and its bext chunk. */
export interface FlacHeader {
  readonly sampleRateHz: number
  readonly channels: number
  readonly bits: number
  readonly encoding: WaveEncoding
  /** Null when the encoder did not know the length. */
  readonly frames: number | null
  /** MD5 of the unencoded samples as 32 hexadecimal digits; null when the encoder left it out. */
  readonly md5: string | null
  readonly broadcast: BroadcastInfo | null
  /** Where the first frame starts. */
  readonly streamStartByte: number
}

const STREAMINFO = 0
const APPLICATION = 2
const STREAMINFO_BYTES = 34
/** Far more than any program writes; without it, a damaged file of tiny blocks would take minutes. */
const MAX_BLOCKS = 10_000
/** Room for a bext chunk with a very long coding history. */
const APPLICATION_MOST_BYTES = 1 << 20
/**
 * The decoder library scales only these depths and 32 bits. Its output is 32-bit float, which
 * cannot represent every 32-bit sample, so 32 bits are not accepted.
 */
const ENCODINGS: Readonly<Record<number, WaveEncoding>> = { 8: 'pcm-8', 16: 'pcm-16', 24: 'pcm-24' }

/** Position of 'fLaC': at the start, or after an ID3v2 tag, which some programs add; null if absent. */
export function flacStartByte(file: InputFile): number | null {
  const head = file.bytes(0, 10)
  if (textAt(head, 0, 4) === 'fLaC') return 0
  if (head.length < 10 || textAt(head, 0, 3) !== 'ID3') return null
  // An ID3v2 size is four 7-bit bytes and does not include the 10-byte header.
  const start = 10 + ((head[6] << 21) | (head[7] << 14) | (head[8] << 7) | head[9])
  return textAt(file.bytes(start, 4), 0, 4) === 'fLaC' ? start : null
}

/** @throws Failure 'damaged' or 'not-supported' */
export function readFlacHeader(file: InputFile): FlacHeader {
  let info: Buffer | null = null
  let broadcast: BroadcastInfo | null = null
  let at = (flacStartByte(file) ?? 0) + 4
  for (let isLast = false, blocks = 0; !isLast; blocks++) {
    if (blocks === MAX_BLOCKS) throw damaged(file.path, `its header has more than ${MAX_BLOCKS} blocks`)
    const head = file.bytes(at, 4)
    if (head.length < 4) throw damaged(file.path, 'its header is cut short')
    isLast = (head[0] & 0x80) !== 0
    const type = head[0] & 0x7f
    const length = head.readUIntBE(1, 3)
    const startByte = at + 4
    if (type === STREAMINFO) info = file.bytes(startByte, STREAMINFO_BYTES)
    else if (type === APPLICATION)
      broadcast ??= keptBroadcast(file.bytes(startByte, Math.min(length, APPLICATION_MOST_BYTES)))
    at = startByte + length
  }
  if (info === null || info.length < STREAMINFO_BYTES) throw damaged(file.path, 'its STREAMINFO is missing')
  return { ...readStreamInfo(file.path, info), broadcast, streamStartByte: at }
}

/** Section 8.2: 20 bits of sample rate, 3 of channels minus 1, 5 of bit depth minus 1, 36 of frame count, then the MD5. */
function readStreamInfo(path: string, info: Buffer): Omit<FlacHeader, 'broadcast' | 'streamStartByte'> {
  const sampleRateHz = info.readUIntBE(10, 3) >> 4
  const channels = ((info[12] >> 1) & 7) + 1
  const bits = (((info[12] & 1) << 4) | (info[13] >> 4)) + 1
  // Section 8.2: 0 means unknown.
  const frames = (info[13] & 15) * 2 ** 32 + info.readUInt32BE(14) || null
  checkRateAndChannels(path, sampleRateHz, channels)
  refuseTooLong(path, frames ?? 0, sampleRateHz)
  const encoding = ENCODINGS[bits]
  if (encoding === undefined) {
    throw new Failure(
      'not-supported',
      `${path} is a ${bits}-bit FLAC file, and only 8, 16 and 24 bits can be read; export it as 24-bit.`,
      { path, bits },
    )
  }
  const md5 = info.toString('hex', 18, 34)
  return {
    sampleRateHz,
    channels,
    bits,
    encoding,
    frames,
    md5: /^0+$/.test(md5) ? null : md5,
  }
}

/** The APPLICATION block 'riff' contains one chunk of the original WAVE file, unchanged. */
function keptBroadcast(block: Buffer): BroadcastInfo | null {
  if (textAt(block, 0, 8) !== 'riffbext' || block.length < 12) return null
  return decodeBroadcast(block.subarray(12, 12 + block.readUInt32LE(8)))
}

function damaged(path: string, what: string): Failure {
  return new Failure('damaged', `${path} is a damaged FLAC file: ${what}; copy it again from its source.`, {
    path,
  })
}
