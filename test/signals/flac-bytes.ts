// FLAC files made byte by byte (RFC 9639): STREAMINFO, and frames of constant samples, with
// right checksums, so that one of them can be made wrong.

export interface StreamFacts {
  readonly sampleRateHz?: number
  readonly channels?: number
  readonly bits?: number
  /** 0: not known. */
  readonly frames?: number
}

/** 'fLaC' and a STREAMINFO block without a checksum (section 8.2); `more` blocks stand behind it. */
export function flacStart(facts: StreamFacts = {}, more: readonly Uint8Array[] = []): Buffer {
  const { sampleRateHz = 48_000, channels = 1, bits = 16, frames = 0 } = facts
  const info = Buffer.alloc(34)
  info.writeUInt16BE(16, 0)
  info.writeUInt16BE(65_535, 2)
  info.writeUIntBE(sampleRateHz * 16 + (channels - 1) * 2 + ((bits - 1) >> 4), 10, 3)
  info[13] = ((bits - 1) & 15) * 16 + Math.floor(frames / 2 ** 32)
  info.writeUInt32BE(frames % 2 ** 32, 14)
  const blocks = [block(0, info), ...more]
  blocks[blocks.length - 1][0] |= 0x80
  return Buffer.concat([Buffer.from('fLaC'), ...blocks])
}

/** A metadata block (section 8.1). */
export function block(type: number, contents: Uint8Array): Buffer {
  const head = Buffer.alloc(4)
  head.writeUInt32BE(type * 2 ** 24 + contents.length)
  return Buffer.concat([head, contents])
}

/** One frame, number `number` of its stream, of 4096 samples that all are `word` (sections 9.1 to 9.3). */
export function constantFrame(number: number, word = 0): Buffer {
  // Sync and fixed block size; 4096 samples at 48 kHz; mono of 16 bits.
  const header = Buffer.concat([Buffer.from([0xff, 0xf8, 0xca, 0x08]), codedNumber(number)])
  const subframe = Buffer.alloc(3)
  subframe.writeInt16BE(word, 1)
  const frame = Buffer.concat([header, Buffer.of(crc(header, 8, 0x07)), subframe])
  const footer = Buffer.alloc(2)
  footer.writeUInt16BE(crc(frame, 16, 0x8005))
  return Buffer.concat([frame, footer])
}

function codedNumber(number: number): Buffer {
  return number < 0x80 ? Buffer.of(number) : Buffer.from(String.fromCodePoint(number), 'utf8')
}

/** Bit by bit, as the RFC defines it. */
function crc(bytes: Uint8Array, bits: number, polynomial: number): number {
  const top = 2 ** (bits - 1)
  let sum = 0
  for (const byte of bytes) {
    for (let bit = 7; bit >= 0; bit--) {
      const isSet = ((sum & top) !== 0) !== (((byte >> bit) & 1) === 1)
      sum = (sum << 1) & (2 ** bits - 1)
      if (isSet) sum ^= polynomial
    }
  }
  return sum
}
