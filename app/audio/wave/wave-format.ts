// The fmt chunk of a WAVE file: how samples are encoded (EBU Tech 3285 appendix A2). Its extensible form adds
// valid bits, a channel mask, and a GUID that contains the tag.

import { Failure } from '../../contract/failure.ts'
import type { AudioFormat } from '../audio-source.ts'
import type { Chunk } from '../file-chunks.ts'
import type { InputFile } from '../input-file.ts'
import { checkRateAndChannels, pcmEncodingOfBytes } from '../pcm-layout.ts'

/** The contents of a fmt chunk. */
export interface WaveFormat {
  readonly encoding: AudioFormat['encoding']
  readonly sampleRateHz: number
  readonly channels: number
  /** Speakers as bits of the extensible form, 0 where nothing is said. */
  readonly channelMask: number
  readonly frameBytes: number
}

/** Format tags of a fmt chunk: integers, floats, and the extensible form, which names one of these. */
export const PCM_TAG = 0x0001
export const FLOAT_TAG = 0x0003
export const EXTENSIBLE_TAG = 0xfffe
/** The GUID xxxx0000-0000-1000-8000-00AA00389B71 after its first two bytes, which are the tag. */
export const GUID_TAIL = Uint8Array.from([0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71])

/** Registered tags of compressed audio (RFC 2361 and later registrations). */
const COMPRESSED_TAGS: Readonly<Record<number, string>> = {
  2: 'ADPCM (Microsoft)',
  6: 'A-law',
  7: 'mu-law',
  17: 'ADPCM (IMA)',
  49: 'GSM 6.10',
  64: 'ADPCM (G.721)',
  69: 'ADPCM (G.726)',
  80: 'MPEG layer I or II',
  85: 'MP3',
  255: 'AAC',
  352: 'Windows Media Audio 1',
  353: 'Windows Media Audio 2',
  354: 'Windows Media Audio Professional',
  5632: 'AAC (ADTS)',
  8192: 'AC-3',
  8193: 'DTS',
  61868: 'FLAC',
}

const BASE_BYTES = 16
const EXTENSIBLE_BYTES = 40

/** @throws Failure 'damaged' or 'not-supported' */
export function readWaveFormat(file: InputFile, chunk: Chunk): WaveFormat {
  const bytes = file.bytes(chunk.startByte, Math.min(chunk.sizeBytes, EXTENSIBLE_BYTES))
  if (bytes.length < BASE_BYTES) throw damaged(file.path, 'its format (fmt) chunk is cut short')
  const channels = bytes.readUInt16LE(2)
  const sampleRateHz = bytes.readUInt32LE(4)
  const frameBytes = bytes.readUInt16LE(12)
  const bits = bytes.readUInt16LE(14)
  let tag = bytes.readUInt16LE(0)
  let channelMask = 0
  if (tag === EXTENSIBLE_TAG) {
    if (bytes.length < EXTENSIBLE_BYTES)
      throw damaged(file.path, 'its extensible format (fmt) chunk is cut short')
    channelMask = bytes.readUInt32LE(20)
    tag = bytes.readUInt16LE(24)
    if (!bytes.subarray(26).equals(GUID_TAIL)) {
      throw notSupported(
        file.path,
        `a vendor-specific format (GUID ${bytes.subarray(24).toString('hex')})`,
        tag,
      )
    }
  }
  if (tag !== PCM_TAG && tag !== FLOAT_TAG) {
    const hex = `${tag.toString(16).toUpperCase().padStart(4, '0')}h`
    const name = COMPRESSED_TAGS[tag]
    throw notSupported(
      file.path,
      name ? `${name} (format tag ${hex})` : `an unknown format (tag ${hex})`,
      tag,
    )
  }
  checkRateAndChannels(file.path, sampleRateHz, channels)
  return {
    encoding: encodingOf(file.path, tag, frameBytes / channels, bits),
    sampleRateHz,
    channels,
    channelMask,
    frameBytes,
  }
}

/** Samples are left-justified in their bytes (A2.2), so fewer valid bits decode like the whole container. */
function encodingOf(path: string, tag: number, sampleBytes: number, bits: number): AudioFormat['encoding'] {
  if (tag === FLOAT_TAG) {
    if (sampleBytes === 4 && bits === 32) return 'float-32'
    if (sampleBytes === 8 && bits === 64) return 'float-64'
  } else {
    const encoding = pcmEncodingOfBytes(sampleBytes)
    if (encoding !== null && bits > 0 && bits <= 8 * sampleBytes) return encoding
  }
  throw damaged(
    path,
    `its header says ${bits} ${bits === 1 ? 'bit' : 'bits'} in ${sampleBytes} ${sampleBytes === 1 ? 'byte' : 'bytes'} per sample`,
  )
}

function damaged(path: string, what: string): Failure {
  return new Failure('damaged', `${path} is damaged: ${what}; export the recording again.`, { path })
}

function notSupported(path: string, what: string, formatTag: number): Failure {
  return new Failure(
    'not-supported',
    `${path} is a WAV whose sound is ${what}; only uncompressed PCM and float can be read. Export it as 24-bit PCM.`,
    { path, formatTag },
  )
}
