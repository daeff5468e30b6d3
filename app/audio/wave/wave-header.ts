// Encodes the header of the WAVE files that we write: RIFF with a placeholder (JUNK) that becomes
// ds64 when the file passes 4 GiB (ITU-R BS.2088 section 4.3, EBU Tech 3306), bext if wanted,
// fmt, and fact for floats. The length of the header does not depend on the size of the file.

import type { WaveEncoding } from '../sample-encoding.ts'
import { EXTENSIBLE_TAG, FLOAT_TAG, GUID_TAIL, PCM_TAG } from './wave-format.ts'

/** What the header of a WAVE file is made from. */
export interface WaveHeaderFacts {
  readonly encoding: WaveEncoding
  readonly sampleRateHz: number
  readonly channels: number
  /** Bytes of sound, without a pad byte. */
  readonly dataBytes: number
  /** Contents of the bext chunk, or null for none. */
  readonly broadcast: Uint8Array | null
  /** Bytes of the chunks behind the sound. */
  readonly trailingBytes: number
}

const IN_DS64 = 0xffffffff
const DS64_BYTES = 28
/** Outer id, size, and 'WAVE'. */
const OUTER_BYTES = 12
const CHUNK_HEADER_BYTES = 8

const BYTES_OF: Readonly<Record<WaveEncoding, number>> = {
  'pcm-8': 1,
  'pcm-16': 2,
  'pcm-24': 3,
  'pcm-32': 4,
  'float-32': 4,
  'float-64': 8,
}

/** Bytes of one sample on disk. */
export function sampleBytesOf(encoding: WaveEncoding): number {
  return BYTES_OF[encoding]
}

/**
 * Everything before the first sample. RF64 instead of RIFF once the whole file needs more
 * than 32 bits of size.
 */
export function encodeWaveHeader(facts: WaveHeaderFacts): Buffer {
  const frameBytes = sampleBytesOf(facts.encoding) * facts.channels
  const frames = facts.dataBytes / frameBytes
  const isFloat = facts.encoding.startsWith('float')
  const chunks = [
    ...(facts.broadcast === null ? [] : [chunk('bext', facts.broadcast)]),
    chunk('fmt ', formatContents(facts, frameBytes)),
    ...(isFloat ? [chunk('fact', wordOf(Math.min(frames, IN_DS64)))] : []),
  ]
  const between = Buffer.concat(chunks)
  const headerBytes = OUTER_BYTES + CHUNK_HEADER_BYTES + DS64_BYTES + between.length + CHUNK_HEADER_BYTES
  // The size in the outer header excludes the id and the size field, and includes the pad byte and all chunks.
  const riffBytes = headerBytes - 8 + facts.dataBytes + (facts.dataBytes % 2) + facts.trailingBytes
  const isLong = riffBytes >= IN_DS64

  const outer = Buffer.alloc(OUTER_BYTES + CHUNK_HEADER_BYTES + DS64_BYTES)
  outer.write(isLong ? 'RF64' : 'RIFF', 0, 'latin1')
  outer.writeUInt32LE(isLong ? IN_DS64 : riffBytes, 4)
  outer.write('WAVE', 8, 'latin1')
  outer.write(isLong ? 'ds64' : 'JUNK', 12, 'latin1')
  outer.writeUInt32LE(DS64_BYTES, 16)
  if (isLong) {
    outer.writeBigUInt64LE(BigInt(riffBytes), 20)
    outer.writeBigUInt64LE(BigInt(facts.dataBytes), 28)
    outer.writeBigUInt64LE(BigInt(frames), 36)
  }
  const dataHeader = Buffer.alloc(CHUNK_HEADER_BYTES)
  dataHeader.write('data', 0, 'latin1')
  dataHeader.writeUInt32LE(isLong ? IN_DS64 : facts.dataBytes, 4)
  return Buffer.concat([outer, between, dataHeader])
}

/**
 * Mono and stereo PCM, including 24-bit, use the plain tag with 16 bytes: every reader supports it
 * and their channels need no mask. More channels use the extensible form with an empty mask.
 */
function formatContents(facts: WaveHeaderFacts, frameBytes: number): Buffer {
  const isFloat = facts.encoding.startsWith('float')
  const isExtensible = facts.channels > 2
  const tag = isFloat ? FLOAT_TAG : PCM_TAG
  const bits = 8 * sampleBytesOf(facts.encoding)
  const contents = Buffer.alloc(isExtensible ? 40 : isFloat ? 18 : 16)
  contents.writeUInt16LE(isExtensible ? EXTENSIBLE_TAG : tag, 0)
  contents.writeUInt16LE(facts.channels, 2)
  contents.writeUInt32LE(facts.sampleRateHz, 4)
  contents.writeUInt32LE(facts.sampleRateHz * frameBytes, 8)
  contents.writeUInt16LE(frameBytes, 12)
  contents.writeUInt16LE(bits, 14)
  if (isExtensible) {
    contents.writeUInt16LE(22, 16)
    contents.writeUInt16LE(bits, 18)
    contents.writeUInt16LE(tag, 24)
    contents.set(GUID_TAIL, 26)
  }
  return contents
}

function chunk(id: string, contents: Uint8Array): Buffer {
  const bytes = Buffer.alloc(CHUNK_HEADER_BYTES + contents.length + (contents.length % 2))
  bytes.write(id, 0, 'latin1')
  bytes.writeUInt32LE(contents.length, 4)
  bytes.set(contents, CHUNK_HEADER_BYTES)
  return bytes
}

function wordOf(value: number): Buffer {
  const bytes = Buffer.alloc(4)
  bytes.writeUInt32LE(value)
  return bytes
}
