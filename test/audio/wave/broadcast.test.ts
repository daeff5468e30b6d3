// bext against EBU Tech 3285 v2: layout (section 2.3, as tabled in the references) and
// the worked loudness values of section 2.4.

import { describe, expect, it } from 'vitest'
import {
  type BroadcastInfo,
  codingHistoryLine,
  decodeBroadcast,
  encodeBroadcast,
} from '../../../app/audio/wave/broadcast.ts'

const info: BroadcastInfo = {
  description: 'lead',
  originator: 'Takeloft',
  originatorReference: 'REF-1',
  originationDate: '2026-11-25',
  originationTime: '10:00:00',
  timeReferenceSamples: 1_728_000_000,
  codingHistory: 'A=PCM,F=48000,W=24,M=mono,T=stem\r\n',
}
const loudness = {
  integratedLufs: -22.644,
  loudnessRangeLu: 12.765,
  maxTruePeakDbtp: -1,
  maxMomentaryLufs: null,
  maxShortTermLufs: -22.645,
}

/** Where section 2.3 has the integrated loudness. */
const LOUDNESS_BYTE = 412

/** The word that an integrated loudness is stored as. */
const wordOf = (integratedLufs: number | null): number =>
  encodeBroadcast(info, { ...loudness, integratedLufs }).readUInt16LE(LOUDNESS_BYTE)

/** What a stored word of the integrated loudness is read as. */
function readBack(word: number): number | null | undefined {
  const bytes = encodeBroadcast(info, loudness)
  bytes.writeInt16LE(word, LOUDNESS_BYTE)
  return decodeBroadcast(bytes)?.loudness?.integratedLufs
}

describe('loudness words, Tech 3285 v2 section 2.4', () => {
  it.each([
    [-22.644, 0xf728],
    [-22.645, 0xf727],
    [-22.646, 0xf727],
    [12.764, 0x04fc],
    [12.765, 0x04fd],
    [12.766, 0x04fd],
    [-99.99, 0xd8f1],
    [99.99, 0x270f],
  ])('%d is stored as the printed word', (value, word) => {
    expect(wordOf(value)).toBe(word)
  })

  it.each([null, -100, 100, Infinity, -Infinity, Number.NaN])('%s is stored as 7FFFh', (value) => {
    expect(wordOf(value)).toBe(0x7fff)
  })

  it('words outside D8F1h-FFFFh and 0000h-270Fh are ignored on reading', () => {
    expect([0x7fff, 0x2710, -10000, -0x8000].map(readBack)).toEqual([null, null, null, null])
    expect(readBack(-2264)).toBe(-22.64)
  })
})

describe('bext layout, Tech 3285 v2 section 2.3', () => {
  const bytes = encodeBroadcast(info, loudness)
  const text = (offset: number, length: number) => bytes.toString('latin1', offset, offset + length)

  it('is 602 bytes and the coding history', () => {
    expect(bytes.length).toBe(602 + info.codingHistory.length)
    expect(bytes.toString('latin1', 602)).toBe(info.codingHistory)
  })

  it('has each text at its offset, ended by NUL', () => {
    expect(text(0, 5)).toBe('lead\0')
    expect(text(256, 9)).toBe('Takeloft\0')
    expect(text(288, 6)).toBe('REF-1\0')
    expect(text(320, 10)).toBe('2026-11-25')
    expect(text(330, 8)).toBe('10:00:00')
  })

  it('has 10:00:00 at 48 kHz as low word 66FF3000h and high word 0', () => {
    expect(bytes.readUInt32LE(338)).toBe(0x66ff3000)
    expect(bytes.readUInt32LE(342)).toBe(0)
  })

  it('puts what is past 32 bits into the high word', () => {
    const late = encodeBroadcast({ ...info, timeReferenceSamples: 24 * 3600 * 192_000 })
    expect(late.readUInt32LE(342)).toBe(Math.floor((24 * 3600 * 192_000) / 2 ** 32))
    expect(decodeBroadcast(late)?.timeReferenceSamples).toBe(24 * 3600 * 192_000)
  })

  it('has version 2, a zero UMID, five loudness words from 412 and zeros to 602', () => {
    expect(bytes.readUInt16LE(346)).toBe(2)
    expect(bytes.subarray(348, 412).every((byte) => byte === 0)).toBe(true)
    expect([412, 414, 416, 418, 420].map((offset) => bytes.readInt16LE(offset))).toEqual([
      -2264, 1277, -100, 0x7fff, -2265,
    ])
    expect(bytes.subarray(422, 602).every((byte) => byte === 0)).toBe(true)
  })

  it('reads back what it wrote', () => {
    expect(decodeBroadcast(bytes)).toEqual({
      ...info,
      version: 2,
      loudness: { ...loudness, integratedLufs: -22.64, loudnessRangeLu: 12.77, maxShortTermLufs: -22.65 },
    })
  })

  it('reads no loudness from version 1, where the bytes are reserved', () => {
    const old = Buffer.from(bytes)
    old.writeUInt16LE(1, 346)
    expect(decodeBroadcast(old)?.loudness.integratedLufs).toBeNull()
  })

  it.each(['-', '_', ':', ' ', '.'])('accepts "%s" between the numbers of date and time', (separator) => {
    const other = encodeBroadcast({
      ...info,
      originationDate: `2026${separator}11${separator}25`,
      originationTime: `10${separator}00${separator}00`,
    })
    expect(decodeBroadcast(other)).toMatchObject({
      originationDate: '2026-11-25',
      originationTime: '10:00:00',
    })
  })

  it('keeps texts ASCII and within their fields', () => {
    const long = encodeBroadcast({ ...info, description: 'é'.repeat(300), originator: '名'.repeat(40) })
    expect(long.toString('latin1', 0, 288)).toBe('e'.repeat(256) + '?'.repeat(32))
    expect(long.toString('latin1', 288, 293)).toBe('REF-1')
  })

  it('gives null for fewer than 602 bytes', () => {
    expect(decodeBroadcast(Buffer.alloc(601))).toBeNull()
  })
})

describe('coding history, EBU R 98 appendix 1', () => {
  it('is A, F, W, M and T with commas between, ended by CR LF', () => {
    expect(codingHistoryLine({ encoding: 'pcm-24', sampleRateHz: 48000, channels: 2 }, 'a, b\r\nc')).toBe(
      'A=PCM,F=48000,W=24,M=stereo,T=a; b c\r\n',
    )
    expect(codingHistoryLine({ encoding: 'pcm-16', sampleRateHz: 44100, channels: 1 }, 'x')).toContain(
      'M=mono',
    )
  })
})
