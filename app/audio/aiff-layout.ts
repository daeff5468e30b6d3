// Reads the header of an AIFF or AIFF-C file: COMM describes the format, SSND holds the samples (Audio
// Interchange File Format 1.3, 1989, and AIFF-C draft of 1991: big-endian, rate in 80 bits).

import { Failure } from '../contract/failure.ts'
import type { AudioFormat } from './audio-source.ts'
import { textAt } from './content-kind.ts'
import { bytesBehindChunks, type Chunk, chunksOf, isChunkHeader } from './file-chunks.ts'
import type { InputFile } from './input-file.ts'
import {
  checkedFrames,
  checkRateAndChannels,
  emptyFailure,
  type PcmLayout,
  pcmEncodingOfBytes,
} from './pcm-layout.ts'

interface CommonChunk {
  readonly channels: number
  readonly frames: number
  readonly sampleRateHz: number
  readonly encoding: AudioFormat['encoding']
  readonly sampleBytes: number
  readonly byteOrder: 'little' | 'big'
  readonly unsigned8: boolean
}

const ALL_ONES = 0xffffffff
/** Offset and block size, before the sound. */
const BLOCK_HEADER_BYTES = 8

const COMPRESSED_TYPES: Readonly<Record<string, string>> = {
  ulaw: 'mu-law',
  ULAW: 'mu-law',
  alaw: 'A-law',
  ALAW: 'A-law',
  ima4: 'ADPCM (IMA 4:1)',
  'GSM ': 'GSM 6.10',
  G722: 'ADPCM (G.722)',
  G726: 'ADPCM (G.726)',
  MAC3: 'MACE 3:1',
  MAC6: 'MACE 6:1',
  '.mp3': 'MP3',
}

/** @throws Failure 'damaged', 'empty' or 'not-supported' */
export function readAiffLayout(file: InputFile): PcmLayout {
  const isAifc = textAt(file.bytes(8, 4), 0, 4) === 'AIFC'
  let common: CommonChunk | null = null
  let sound: Chunk | null = null
  for (const chunk of chunksOf(file, 12, 'big')) {
    if (chunk.id === 'COMM' && common === null) common = readCommon(file, chunk, isAifc)
    else if (chunk.id === 'SSND' && sound === null) sound = chunk
  }
  if (common === null) throw damaged(file.path, 'its format (COMM) chunk is missing')
  if (sound === null) {
    if (common.frames === 0) throw emptyFailure(file.path)
    throw damaged(file.path, 'its audio (SSND) chunk is missing')
  }
  const blockHeader = file.bytes(sound.startByte, BLOCK_HEADER_BYTES)
  if (blockHeader.length < BLOCK_HEADER_BYTES) throw damaged(file.path, 'its audio (SSND) chunk is cut short')
  const dataStartByte = sound.startByte + BLOCK_HEADER_BYTES + blockHeader.readUInt32BE(0)
  const frameBytes = common.sampleBytes * common.channels
  // The sound may be padded to a whole block (section 5, "Block-aligning").
  const fillBytes = blockHeader.readUInt32BE(4)
  const isOpenChunk = hasNoSize(file, sound)
  const chunkEndByte = isOpenChunk ? file.sizeBytes : sound.startByte + sound.sizeBytes
  const endByte = Math.min(file.sizeBytes, chunkEndByte)
  const hasLength = !isOpenChunk && common.frames !== 0 && common.frames !== ALL_ONES
  const promisedBytes = hasLength ? common.frames * frameBytes : null
  const moreBytes = promisedBytes === null ? 0 : endByte - dataStartByte - promisedBytes
  // Where the chunk is cut short, or has no size, nothing is behind it.
  const isCutShort = isOpenChunk || chunkEndByte > file.sizeBytes
  const unreadBytes = isCutShort
    ? 0
    : (moreBytes > fillBytes ? moreBytes : 0) + bytesBehindChunks(file, sound, 'big')
  return {
    format: {
      container: isAifc ? 'aifc' : 'aiff',
      encoding: common.encoding,
      sampleRateHz: common.sampleRateHz,
      channels: common.channels,
      ...checkedFrames(file.path, dataStartByte, endByte, promisedBytes, frameBytes, common.sampleRateHz),
      timeReferenceSamples: null,
      lateStampSamples: null,
      unreadBytes: unreadBytes < frameBytes ? 0 : unreadBytes,
    },
    dataStartByte,
    frameBytes,
    byteOrder: common.byteOrder,
    unsigned8: common.unsigned8,
  }
}

/**
 * A recorder writes the sizes when it stops; 0, all ones or that of the block header alone mean that it never did,
 * or that it wrote to a pipe, unless the next chunk follows.
 */
function hasNoSize(file: InputFile, { startByte, sizeBytes }: Chunk): boolean {
  if (sizeBytes === ALL_ONES) return true
  if (sizeBytes !== 0 && sizeBytes !== BLOCK_HEADER_BYTES) return false
  return !isChunkHeader(file.bytes(startByte + sizeBytes, 8))
}

function readCommon(file: InputFile, chunk: Chunk, isAifc: boolean): CommonChunk {
  const bytes = file.bytes(chunk.startByte, Math.min(chunk.sizeBytes, 64))
  if (bytes.length < (isAifc ? 22 : 18)) throw damaged(file.path, 'its format (COMM) chunk is cut short')
  const channels = bytes.readUInt16BE(0)
  const frames = bytes.readUInt32BE(2)
  const bits = bytes.readUInt16BE(6)
  const sampleRateHz = extendedAt(bytes, 8)
  checkRateAndChannels(file.path, sampleRateHz, channels)
  const coding = codingOf(file.path, isAifc ? textAt(bytes, 18, 4) : 'NONE', bits)
  return { channels, frames, sampleRateHz, ...coding }
}

function codingOf(
  path: string,
  type: string,
  bits: number,
): Pick<CommonChunk, 'encoding' | 'sampleBytes' | 'byteOrder' | 'unsigned8'> {
  const plain = { byteOrder: 'big', unsigned8: false } as const
  const fromBits = Math.ceil(bits / 8)
  switch (type) {
    case 'fl32':
    case 'FL32':
      return { ...plain, encoding: 'float-32', sampleBytes: 4 }
    case 'fl64':
    case 'FL64':
      return { ...plain, encoding: 'float-64', sampleBytes: 8 }
    case 'in24':
      return { ...plain, encoding: 'pcm-24', sampleBytes: 3 }
    case 'in32':
      return { ...plain, encoding: 'pcm-32', sampleBytes: 4 }
    case '42ni':
      return { ...plain, encoding: 'pcm-24', sampleBytes: 3, byteOrder: 'little' }
    case '23ni':
      return { ...plain, encoding: 'pcm-32', sampleBytes: 4, byteOrder: 'little' }
    case 'raw ':
      return { ...plain, encoding: 'pcm-8', sampleBytes: 1, unsigned8: true }
    case 'NONE':
    case 'twos':
    case 'sowt': {
      const encoding = pcmEncodingOfBytes(fromBits)
      if (encoding === null)
        throw damaged(path, `its header says ${bits} ${bits === 1 ? 'bit' : 'bits'} per sample`)
      return { ...plain, encoding, sampleBytes: fromBits, byteOrder: type === 'sowt' ? 'little' : 'big' }
    }
    default: {
      const name = COMPRESSED_TYPES[type]
      throw new Failure(
        'not-supported',
        `${path} is an AIFF-C file whose sound is ${name ? `${name} (type ${type})` : `of an unknown type (${type})`}; only uncompressed PCM and float can be read. Export it as 24-bit PCM.`,
        { path, compressionType: type },
      )
    }
  }
}

/** An 80-bit extended float (IEEE 754-1985): 16-bit sign and exponent, 64-bit mantissa with its leading 1. */
function extendedAt(bytes: Buffer, offset: number): number {
  const signAndExponent = bytes.readUInt16BE(offset)
  const mantissa = bytes.readUInt32BE(offset + 2) * 2 ** 32 + bytes.readUInt32BE(offset + 6)
  const magnitude = mantissa * 2 ** ((signAndExponent & 0x7fff) - 16383 - 63)
  return signAndExponent & 0x8000 ? -magnitude : magnitude
}

function damaged(path: string, what: string): Failure {
  return new Failure('damaged', `${path} is damaged: ${what}; export the recording again.`, { path })
}
