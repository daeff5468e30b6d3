// Files made byte by byte: RIFF and FORM chunks, fmt and COMM contents, and the sound in
// them. What a test wants wrong in a header is said here and nowhere else.

import { createRandom } from '../../app/dsp/maths/random.ts'

/** One chunk: id, size, contents and the pad byte. `size` claims another size than the true one. */
export function chunkBytes(
  id: string,
  contents: Uint8Array,
  { size = contents.length, isBig = false, isPadded = true } = {},
): Buffer {
  const header = Buffer.alloc(8)
  header.write(id, 0, 'latin1')
  if (isBig) header.writeUInt32BE(size, 4)
  else header.writeUInt32LE(size, 4)
  return Buffer.concat([header, contents, Buffer.alloc(isPadded ? contents.length % 2 : 0)])
}

/** A whole RIFF (or RF64, BW64 with its FFFFFFFFh size) file around chunks. */
export function waveBytes(chunks: readonly Uint8Array[], outer: 'RIFF' | 'RF64' | 'BW64' = 'RIFF'): Buffer {
  const body = Buffer.concat([Buffer.from('WAVE'), ...chunks])
  return chunkBytes(outer, body, outer === 'RIFF' ? {} : { size: 0xffffffff })
}

/** A whole FORM file around chunks. */
export function aiffBytes(chunks: readonly Uint8Array[], form: 'AIFF' | 'AIFC'): Buffer {
  return chunkBytes('FORM', Buffer.concat([Buffer.from(form), ...chunks]), { isBig: true })
}

export interface FmtFacts {
  tag?: number
  channels?: number
  sampleRateHz?: number
  bits?: number
  frameBytes?: number
  /** Makes the 40-byte extensible form with this as the tag of its GUID. */
  guidTag?: number
  validBits?: number
}

/** A fmt chunk; EBU Tech 3285 appendix A1.1. */
export function fmtChunk(facts: FmtFacts = {}): Buffer {
  const { tag = 1, channels = 1, sampleRateHz = 48000, bits = 16, guidTag, validBits = bits } = facts
  const frameBytes = facts.frameBytes ?? channels * Math.ceil(bits / 8)
  const contents = Buffer.alloc(guidTag === undefined ? 16 : 40)
  contents.writeUInt16LE(guidTag === undefined ? tag : 0xfffe, 0)
  contents.writeUInt16LE(channels, 2)
  contents.writeUInt32LE(sampleRateHz, 4)
  contents.writeUInt32LE((sampleRateHz * frameBytes) % 2 ** 32, 8)
  contents.writeUInt16LE(frameBytes, 12)
  contents.writeUInt16LE(bits, 14)
  if (guidTag !== undefined) {
    contents.writeUInt16LE(22, 16)
    contents.writeUInt16LE(validBits, 18)
    contents.writeUInt32LE(channels === 1 ? 4 : 2 ** channels - 1, 20)
    contents.writeUInt16LE(guidTag, 24)
    contents.write('000000001000800000aa00389b71', 26, 'hex')
  }
  return chunkBytes('fmt ', contents)
}

/** A ds64 chunk; ITU-R BS.2088 section 4.1. `table` holds the sizes of further chunks. */
export function ds64Chunk(
  riffBytes: number,
  dataBytes: number,
  frames: number,
  table: readonly [string, number][] = [],
) {
  const contents = Buffer.alloc(28 + 12 * table.length)
  contents.writeBigUInt64LE(BigInt(riffBytes), 0)
  contents.writeBigUInt64LE(BigInt(dataBytes), 8)
  contents.writeBigUInt64LE(BigInt(frames), 16)
  contents.writeUInt32LE(table.length, 24)
  table.forEach(([id, size], row) => {
    contents.write(id, 28 + 12 * row, 'latin1')
    contents.writeBigUInt64LE(BigInt(size), 32 + 12 * row)
  })
  return chunkBytes('ds64', contents)
}

/** A COMM chunk; `extendedRate` is the 80-bit rate as hexadecimal digits. */
export function commChunk(facts: {
  channels: number
  frames: number
  bits: number
  extendedRate?: string
  type?: string
}): Buffer {
  const { channels, frames, bits, extendedRate = '400ebb80000000000000', type } = facts
  const contents = Buffer.alloc(type === undefined ? 18 : 24)
  contents.writeUInt16BE(channels, 0)
  contents.writeUInt32BE(frames, 2)
  contents.writeUInt16BE(bits, 6)
  contents.write(extendedRate, 8, 'hex')
  if (type !== undefined) contents.write(type, 18, 'latin1')
  return chunkBytes('COMM', contents, { isBig: true })
}

/** An SSND chunk with `offset` unused bytes in front of the sound. */
export function soundChunk(sound: Uint8Array, offset = 0): Buffer {
  const head = Buffer.alloc(8 + offset)
  head.writeUInt32BE(offset, 0)
  return chunkBytes('SSND', Buffer.concat([head, sound]), { isBig: true })
}

/** 16-bit words as bytes. */
export function words16(words: readonly number[]): Buffer {
  const bytes = Buffer.alloc(2 * words.length)
  words.forEach((word, index) => {
    bytes.writeInt16LE(word, 2 * index)
  })
  return bytes
}

/** Even seeded words of `bits` bits over full scale, with both end words among the first. */
export function randomWords(bits: number, count: number, seed: number): number[] {
  const random = createRandom(seed)
  const top = 2 ** (bits - 1)
  return Array.from({ length: count }, (_, index) =>
    index === 0 ? -top : index === 1 ? top - 1 : Math.floor((random.uniform() * 2 - 1) * top),
  )
}
