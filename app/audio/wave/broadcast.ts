// The broadcast audio extension (bext) chunk, version 2: EBU Tech 3285 v2 (2011) section
// 2.3 for the layout, 2.4 for the loudness words, EBU R 98 (1999) for the coding history.

import type { AudioFormat } from '../audio-source.ts'

/** The contents of a bext chunk. Texts are ASCII and truncated to their fields. */
export interface BroadcastInfo {
  /** At most 256 characters. */
  readonly description: string
  /** At most 32 characters. */
  readonly originator: string
  /** At most 32 characters. */
  readonly originatorReference: string
  /** yyyy-mm-dd, or empty. */
  readonly originationDate: string
  /** hh:mm:ss, or empty. */
  readonly originationTime: string
  /** Position of the first sample in samples since midnight, at the file's own rate. */
  readonly timeReferenceSamples: number
  /** Lines ended by CR LF, oldest first; see codingHistoryLine. */
  readonly codingHistory: string
}

/** Measured loudness; null where the material has no value. */
export interface BroadcastLoudness {
  readonly integratedLufs: number | null
  readonly loudnessRangeLu: number | null
  readonly maxTruePeakDbtp: number | null
  readonly maxMomentaryLufs: number | null
  readonly maxShortTermLufs: number | null
}

/** A bext chunk as read (EBU Tech 3285). */
export interface DecodedBroadcast extends BroadcastInfo {
  /** 0, 1 or 2; loudness is read from version 2 only. */
  readonly version: number
  readonly loudness: BroadcastLoudness
}

const SECONDS_PER_DAY = 86_400
const FIXED_BYTES = 602
const UNUSED_LOUDNESS = 0x7fff
const MAX_LOUDNESS = 9999
const VERSION = 2
const LOUDNESS_BYTE = 412
const LOUDNESS_FIELDS = [
  'integratedLufs',
  'loudnessRangeLu',
  'maxTruePeakDbtp',
  'maxMomentaryLufs',
  'maxShortTermLufs',
] as const
const NO_LOUDNESS: BroadcastLoudness = {
  integratedLufs: null,
  loudnessRangeLu: null,
  maxTruePeakDbtp: null,
  maxMomentaryLufs: null,
  maxShortTermLufs: null,
}

/**
 * A loudness word, section 2.4: the value times 100, rounded with ties away from
 * zero; 7FFFh if the value is null, not finite, or outside -99.99 to 99.99.
 */
function encodeLoudness(value: number | null): number {
  if (value === null) return UNUSED_LOUDNESS
  const hundredfold = 100 * value
  const word = Math.trunc(hundredfold + Math.sign(hundredfold) * 0.5)
  return Math.abs(word) <= MAX_LOUDNESS ? word : UNUSED_LOUDNESS
}

/** The value of a signed loudness word; null for 7FFFh and everything else out of range. */
function decodeLoudness(word: number): number | null {
  return Math.abs(word) <= MAX_LOUDNESS ? word / 100 : null
}

/** The contents of a bext chunk, without its 8-byte header: 602 bytes and the coding history. */
export function encodeBroadcast(info: BroadcastInfo, loudness: BroadcastLoudness = NO_LOUDNESS): Buffer {
  const history = asAscii(info.codingHistory)
  const bytes = Buffer.alloc(FIXED_BYTES + history.length)
  bytes.write(asAscii(info.description), 0, 256, 'latin1')
  bytes.write(asAscii(info.originator), 256, 32, 'latin1')
  bytes.write(asAscii(info.originatorReference), 288, 32, 'latin1')
  bytes.write(asAscii(info.originationDate), 320, 10, 'latin1')
  bytes.write(asAscii(info.originationTime), 330, 8, 'latin1')
  // The standard has a low and a high word, which together are one little-endian 64-bit number.
  bytes.writeBigUInt64LE(BigInt(info.timeReferenceSamples), 338)
  bytes.writeUInt16LE(VERSION, 346)
  LOUDNESS_FIELDS.forEach((field, index) => {
    // The loudness range cannot be negative (section 2.4).
    const value = field === 'loudnessRangeLu' && (loudness[field] ?? 0) < 0 ? null : loudness[field]
    bytes.writeInt16LE(encodeLoudness(value), LOUDNESS_BYTE + 2 * index)
  })
  bytes.write(history, FIXED_BYTES, 'latin1')
  return bytes
}

/** Reads versions 0, 1 and 2; null if there are too few bytes for the fixed part. */
export function decodeBroadcast(bytes: Buffer): DecodedBroadcast | null {
  if (bytes.length < FIXED_BYTES) return null
  const version = bytes.readUInt16LE(346)
  // Anything beyond a safe integer is far more than a day.
  const timeReferenceSamples = Math.min(Number(bytes.readBigUInt64LE(338)), Number.MAX_SAFE_INTEGER)
  return {
    description: textOf(bytes, 0, 256),
    originator: textOf(bytes, 256, 32),
    originatorReference: textOf(bytes, 288, 32),
    originationDate: withSeparator(textOf(bytes, 320, 10), '-'),
    originationTime: withSeparator(textOf(bytes, 330, 8), ':'),
    timeReferenceSamples,
    codingHistory: textOf(bytes, FIXED_BYTES, bytes.length - FIXED_BYTES),
    version,
    loudness: version >= 2 ? loudnessOf(bytes) : NO_LOUDNESS,
  }
}

/** The time stamp of a recording at its rate, in samples since midnight: as a time of day, or as one beyond it. */
export function timeStampOf(
  info: BroadcastInfo | null,
  sampleRateHz: number,
): Pick<AudioFormat, 'timeReferenceSamples' | 'lateStampSamples'> {
  const samples = info?.timeReferenceSamples ?? null
  const isLate = samples !== null && samples >= SECONDS_PER_DAY * sampleRateHz
  return { timeReferenceSamples: isLate ? null : samples, lateStampSamples: isLate ? samples : null }
}

function loudnessOf(bytes: Buffer): BroadcastLoudness {
  const value = (index: number) => decodeLoudness(bytes.readInt16LE(LOUDNESS_BYTE + 2 * index))
  const rangeLu = value(1)
  return {
    integratedLufs: value(0),
    loudnessRangeLu: rangeLu !== null && rangeLu < 0 ? null : rangeLu,
    maxTruePeakDbtp: value(2),
    maxMomentaryLufs: value(3),
    maxShortTermLufs: value(4),
  }
}

/**
 * One line of coding history in the form of R 98, ended by CR LF.
 * @param text free text; commas, which R 98 does not allow, become semicolons
 */
export function codingHistoryLine(
  format: Pick<AudioFormat, 'sampleRateHz' | 'channels'> & { readonly encoding: string },
  text: string,
): string {
  const bits = format.encoding.slice(format.encoding.indexOf('-') + 1)
  const mode = format.channels === 1 ? ',M=mono' : format.channels === 2 ? ',M=stereo' : ''
  const free = asAscii(text)
    .replaceAll(',', ';')
    .replaceAll(/[\r\n]+/g, ' ')
  return `A=PCM,F=${format.sampleRateHz},W=${bits}${mode},T=${free}\r\n`
}

/** Removes accents; any other character outside ASCII becomes a question mark. */
function asAscii(text: string): string {
  return text
    .normalize('NFD')
    .replaceAll(/\p{M}/gu, '')
    .replaceAll(/[^\r\n\x20-\x7e]/gu, '?')
}

function textOf(bytes: Buffer, offset: number, length: number): string {
  const text = bytes.toString('latin1', offset, offset + length)
  const end = text.indexOf('\0')
  return end < 0 ? text : text.slice(0, end)
}

/** The standard allows - _ : space and . between the numbers of dates and times. */
function withSeparator(text: string, separator: '-' | ':'): string {
  return text.replaceAll(/[-_: .]/g, separator)
}
