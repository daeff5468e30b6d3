// Files made by FFmpeg and SoX in every encoding, read by us and sample by sample the same
// as FFmpeg's own reading; then crafted headers: odd orders, long sizes, valid bits.

import { copyFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import type { AudioFormat } from '../../app/audio/audio-source.ts'
import { openAudioFile } from '../../app/audio/open-audio-file.ts'
import { encodeBroadcast } from '../../app/audio/wave/broadcast.ts'
import { hasTool } from '../require-tool.ts'
import {
  aiffBytes,
  chunkBytes,
  commChunk,
  ds64Chunk,
  type FmtFacts,
  fmtChunk,
  randomWords,
  soundChunk,
  waveBytes,
  words16,
} from '../signals/wave-bytes.ts'
import { ffmpeg, greatestDifference, makeFolder, run, samplesByFfmpeg, samplesOf } from './outside-tools.ts'

const folder = makeFolder()
const FRAMES = 50_001

function write(name: string, bytes: Uint8Array): string {
  const path = join(folder, name)
  writeFileSync(path, bytes)
  return path
}

function open(name: string, bytes: Uint8Array) {
  const source = openAudioFile(write(name, bytes))
  const read = { format: source.format, samples: [...samplesOf(source)] }
  source.close()
  return read
}

interface OutsideFile {
  readonly name: string
  readonly maker: 'ffmpeg' | 'sox'
  readonly args: readonly string[]
  readonly container: AudioFormat['container']
  readonly encoding: AudioFormat['encoding']
}

const byFfmpeg = (
  name: string,
  codec: string,
  container: AudioFormat['container'],
  encoding: AudioFormat['encoding'],
  ...more: string[]
): OutsideFile => ({ name, maker: 'ffmpeg', args: ['-c:a', codec, ...more], container, encoding })
const bySox = (
  name: string,
  args: string,
  container: AudioFormat['container'],
  encoding: AudioFormat['encoding'],
): OutsideFile => ({ name, maker: 'sox', args: args.split(' '), container, encoding })

const OUTSIDE: readonly OutsideFile[] = [
  byFfmpeg('u8.wav', 'pcm_u8', 'wav', 'pcm-8'),
  byFfmpeg('s16.wav', 'pcm_s16le', 'wav', 'pcm-16'),
  byFfmpeg('s24.wav', 'pcm_s24le', 'wav', 'pcm-24'),
  byFfmpeg('s32.wav', 'pcm_s32le', 'wav', 'pcm-32'),
  byFfmpeg('f32.wav', 'pcm_f32le', 'wav', 'float-32'),
  byFfmpeg('f64.wav', 'pcm_f64le', 'wav', 'float-64'),
  byFfmpeg('rf64.wav', 'pcm_s24le', 'rf64', 'pcm-24', '-rf64', 'always'),
  byFfmpeg('bext.wav', 'pcm_s24le', 'wav', 'pcm-24', '-write_bext', '1', '-metadata', 'time_reference=4321'),
  byFfmpeg('192k.wav', 'pcm_s24le', 'wav', 'pcm-24', '-ar', '192000'),
  byFfmpeg('8k.wav', 'pcm_s16le', 'wav', 'pcm-16', '-ar', '8000'),
  byFfmpeg('s8.aiff', 'pcm_s8', 'aiff', 'pcm-8'),
  byFfmpeg('s16.aiff', 'pcm_s16be', 'aiff', 'pcm-16'),
  byFfmpeg('s24.aiff', 'pcm_s24be', 'aiff', 'pcm-24'),
  byFfmpeg('s32.aiff', 'pcm_s32be', 'aiff', 'pcm-32'),
  byFfmpeg('sowt.aiff', 'pcm_s16le', 'aifc', 'pcm-16'),
  byFfmpeg('fl32.aiff', 'pcm_f32be', 'aifc', 'float-32'),
  byFfmpeg('fl64.aiff', 'pcm_f64be', 'aifc', 'float-64'),
  bySox('sox8.wav', '-b 8', 'wav', 'pcm-8'),
  bySox('sox16.wav', '-b 16', 'wav', 'pcm-16'),
  bySox('sox24.wav', '-b 24', 'wav', 'pcm-24'),
  bySox('sox32.wav', '-b 32', 'wav', 'pcm-32'),
  bySox('sox32f.wav', '-e floating-point -b 32', 'wav', 'float-32'),
  bySox('sox8.aiff', '-b 8', 'aiff', 'pcm-8'),
  bySox('sox24.aiff', '-b 24', 'aiff', 'pcm-24'),
  bySox('sox32.aiff', '-b 32', 'aiff', 'pcm-32'),
  bySox('sox16.aifc', '-b 16', 'aifc', 'pcm-16'),
  bySox('sox24.aifc', '-b 24', 'aifc', 'pcm-24'),
]

describe.skipIf(!hasTool('ffmpeg') || !hasTool('sox'))('files by FFmpeg and SoX', () => {
  const stereo = () => {
    const left = randomWords(24, FRAMES, 1)
    const right = randomWords(24, FRAMES, 2)
    const bytes = Buffer.alloc(6 * FRAMES)
    for (let n = 0; n < FRAMES; n++) {
      bytes.writeIntLE(left[n], 6 * n, 3)
      bytes.writeIntLE(right[n], 6 * n + 3, 3)
    }
    return waveBytes([fmtChunk({ channels: 2, bits: 24 }), chunkBytes('data', bytes)])
  }
  const seed = write('seed.wav', stereo())

  it.each(OUTSIDE)('$name: the format and every sample as FFmpeg reads it', (file) => {
    const path = join(folder, file.name)
    if (file.maker === 'ffmpeg') ffmpeg('-i', seed, ...file.args, path)
    else run('sox', '-D', seed, ...file.args, path)
    const source = openAudioFile(path)
    expect(source.format).toMatchObject({ container: file.container, encoding: file.encoding, channels: 2 })
    expect(source.format.timeReferenceSamples).toBe(file.name === 'bext.wav' ? 4321 : null)
    expect(greatestDifference(samplesOf(source), samplesByFfmpeg(path))).toBe(0)
    source.close()
  })

  it('a WAV named .aiff opens by what is in it', () => {
    const path = join(folder, 'mislabelled.aiff')
    copyFileSync(seed, path)
    expect(openAudioFile(path).format.container).toBe('wav')
  })

  it('gives any span, forwards and back, with zeros outside the file', () => {
    const all = samplesByFfmpeg(seed)
    const source = openAudioFile(seed)
    const into = [new Float64Array(40_000), new Float64Array(40_000)]
    for (const [start, frames, at] of [
      [-5, 20, 0],
      [49_990, 30, 7],
      [0, 40_000, 0],
      [12_345, 1, 39_999],
      [45_000, 5_001, 3],
      [10, 3, 0],
      [-100, 50, 5],
      [60_000, 50, 5],
    ]) {
      for (const channel of into) channel.fill(9)
      source.read(start, frames, into, at)
      for (let i = 0; i < frames; i++) {
        const frame = start + i
        const isInside = frame >= 0 && frame < FRAMES
        expect(into[0][at + i]).toBe(isInside ? all[2 * frame] : 0)
        expect(into[1][at + i]).toBe(isInside ? all[2 * frame + 1] : 0)
      }
      expect(into[0].filter((sample) => sample === 9).length).toBe(40_000 - frames)
    }
    source.close()
  })
})

describe('crafted WAVE headers', () => {
  const words = [1, -2, 3, -32768, 32767]
  const samples = words.map((word) => word / 32768)
  const data = chunkBytes('data', words16(words))
  const bext = chunkBytes(
    'bext',
    encodeBroadcast({
      description: '',
      originator: '',
      originatorReference: '',
      originationDate: '',
      originationTime: '',
      timeReferenceSamples: 777,
      codingHistory: 'odd',
    }),
  )
  const junk = chunkBytes('JUNK', Buffer.alloc(27))
  const list = chunkBytes('LIST', Buffer.from('INFOISFT\x05\0\0\0abcd\0\0', 'latin1'))

  it.each<[string, Uint8Array[], number | null]>([
    ['fmt, data', [fmtChunk(), data], null],
    ['bext and LIST before', [bext, list, junk, fmtChunk(), data], 777],
    ['bext and LIST after', [fmtChunk(), data, list, bext], 777],
    [
      'fmt after unknown chunks of odd size',
      [chunkBytes('zzzz', Buffer.alloc(33)), junk, fmtChunk(), data],
      null,
    ],
    ['data before fmt (against A1, but readable)', [data, fmtChunk(), bext], 777],
    [
      'an odd chunk whose pad byte was forgotten',
      [chunkBytes('odd ', Buffer.alloc(5), { isPadded: false }), fmtChunk(), data],
      null,
    ],
    ['rubbish after the sound', [fmtChunk(), data, Buffer.from([0, 1, 2])], null],
    [
      'a bext chunk too short to mean anything',
      [chunkBytes('bext', Buffer.alloc(100)), fmtChunk(), data],
      null,
    ],
  ])('%s', (what, chunks, timeReferenceSamples) => {
    const read = open('crafted.wav', waveBytes(chunks))
    expect(read.format).toEqual({
      container: 'wav',
      encoding: 'pcm-16',
      sampleRateHz: 48000,
      channels: 1,
      frames: 5,
      promisedFrames: 5,
      timeReferenceSamples,
      lateStampSamples: null,
      unreadBytes: what === 'rubbish after the sound' ? 4 : 0,
    })
    expect(read.samples).toEqual(samples)
  })

  // EBU Tech 3285 and BS.2088: whatever follows the data chunk is chunks.
  it.each<[string, number, Uint8Array[], ('RIFF' | 'RF64')?]>([
    ['a data size smaller than the sound', 6, [fmtChunk(), chunkBytes('data', words16(words), { size: 4 })]],
    [
      'a smaller size in ds64',
      6,
      [ds64Chunk(0, 4, 2), fmtChunk(), chunkBytes('data', words16(words), { size: 0xffffffff })],
      'RF64',
    ],
    ['a second data chunk', 10, [fmtChunk(), data, data]],
    [
      'a chunk that runs past the end',
      12,
      [fmtChunk(), data, chunkBytes('LIST', Buffer.alloc(4), { size: 9999 })],
    ],
    ['chunks, then rubbish', 4, [fmtChunk(), data, list, junk, Buffer.from([0, 1, 2, 3])]],
    [
      'an odd chunk without its pad byte',
      0,
      [fmtChunk(), data, chunkBytes('odd ', Buffer.alloc(5), { isPadded: false })],
    ],
    [
      'less than a frame',
      0,
      [fmtChunk({ channels: 2 }), chunkBytes('data', words16([1, 2])), Buffer.from([0])],
    ],
  ])('%s leaves %d bytes unread', (_what, unreadBytes, chunks, outer) => {
    expect(open('more.wav', waveBytes(chunks, outer)).format.unreadBytes).toBe(unreadBytes)
  })

  it('an outer size that a crashed recorder left at 0 does not matter', () => {
    const bytes = waveBytes([fmtChunk(), data])
    bytes.writeUInt32LE(0, 4)
    expect(open('outer.wav', bytes).samples).toEqual(samples)
  })

  it('a data chunk of odd length, with its pad byte, then another chunk', () => {
    const read = open(
      'odd.wav',
      waveBytes([fmtChunk({ bits: 8 }), chunkBytes('data', Buffer.from([0, 128, 255])), bext]),
    )
    expect(read.samples).toEqual([-1, 0, 127 / 128])
    expect(read.format.timeReferenceSamples).toBe(777)
  })

  it('bytes that fill no whole frame are left out', () => {
    const read = open(
      'partial.wav',
      waveBytes([fmtChunk({ channels: 2 }), chunkBytes('data', words16([1, 2, 3]))]),
    )
    expect(read.format.frames).toBe(1)
  })

  it.each<[string, FmtFacts, number[], number[]]>([
    ['12 bits in 2 bytes, top-justified (A2.2)', { bits: 12 }, [0x7ff0, -0x8000], [2047 / 2048, -1]],
    ['extensible, 16 valid of 16', { guidTag: 1 }, [16384], [0.5]],
    ['extensible, 12 valid of 16', { guidTag: 1, validBits: 12 }, [0x7ff0], [2047 / 2048]],
  ])('%s', (_what, fmt, stored, expected) => {
    expect(
      open('valid.wav', waveBytes([fmtChunk(fmt), chunkBytes('data', words16(stored))])).samples,
    ).toEqual(expected)
  })

  it('20 bits in 3 bytes, as in the example of A2.3', () => {
    const bytes = Buffer.alloc(6)
    bytes.writeIntLE(0x7ffff0, 0, 3)
    bytes.writeIntLE(-0x800000, 3, 3)
    const read = open(
      '20.wav',
      waveBytes([fmtChunk({ bits: 20, sampleRateHz: 44100 }), chunkBytes('data', bytes)]),
    )
    expect(read.format.encoding).toBe('pcm-24')
    expect(read.samples).toEqual([524287 / 524288, -1])
  })

  it('extensible float', () => {
    const bytes = Buffer.alloc(8)
    bytes.writeFloatLE(1.5, 0)
    bytes.writeFloatLE(-0.25, 4)
    const read = open(
      'extfloat.wav',
      waveBytes([fmtChunk({ bits: 32, guidTag: 3 }), chunkBytes('data', bytes)]),
    )
    expect(read.samples).toEqual([1.5, -0.25])
  })

  describe.each(['RF64', 'BW64'] as const)('%s, ITU-R BS.2088', (outer) => {
    it('takes the size of data from ds64, and of others from its table', () => {
      const big = chunkBytes('axml', Buffer.alloc(6), { size: 0xffffffff })
      const read = open(
        'long.wav',
        waveBytes(
          [
            ds64Chunk(0, 10, 5, [['axml', 6]]),
            big,
            fmtChunk(),
            chunkBytes('data', words16(words), { size: 0xffffffff }),
            bext,
          ],
          outer,
        ),
      )
      expect(read.format).toMatchObject({
        container: outer.toLowerCase(),
        frames: 5,
        timeReferenceSamples: 777,
      })
      expect(read.samples).toEqual(samples)
    })

    it('a 32-bit size other than FFFFFFFFh is used as it stands (section 2.4)', () => {
      const read = open('stands.wav', waveBytes([ds64Chunk(0, 4, 2), fmtChunk(), data], outer))
      expect(read.samples).toEqual(samples)
    })
  })
})

describe('crafted AIFF headers', () => {
  const big = Buffer.from([0x40, 0x00, 0xc0, 0x00])

  // AIFF 1.3: COMM says how many frames there are; SSND may be filled up to whole blocks.
  it.each<[string, number, number, Uint8Array[]]>([
    ['all of them', 2, 0, [soundChunk(big)]],
    ['fewer frames than the sound', 1, 2, [soundChunk(big)]],
    [
      'an SSND chunk smaller than the sound',
      1,
      2,
      [chunkBytes('SSND', Buffer.concat([Buffer.alloc(8), big]), { size: 10, isBig: true })],
    ],
    ['another chunk behind', 2, 0, [soundChunk(big), chunkBytes('ANNO', Buffer.alloc(6), { isBig: true })]],
    [
      'blocks of 4 bytes',
      1,
      0,
      [chunkBytes('SSND', Buffer.concat([Buffer.from([0, 0, 0, 0, 0, 0, 0, 4]), big]), { isBig: true })],
    ],
  ])('%s: %d frames leave %d bytes unread', (_what, frames, unreadBytes, chunks) => {
    const { format } = open(
      'more.aiff',
      aiffBytes([commChunk({ channels: 1, frames, bits: 16 }), ...chunks], 'AIFF'),
    )
    expect(format).toMatchObject({ frames, unreadBytes })
  })

  it('SSND before COMM, with an offset in front of the sound', () => {
    const read = open(
      'a.aiff',
      aiffBytes([soundChunk(big, 6), commChunk({ channels: 1, frames: 2, bits: 16 })], 'AIFF'),
    )
    expect(read.samples).toEqual([0.5, -0.5])
    expect(read.format).toMatchObject({ container: 'aiff', sampleRateHz: 48000 })
  })

  it.each([
    ['400eac44000000000000', 44100],
    ['400fbb80000000000000', 96000],
    ['400bfa00000000000000', 8000],
  ])('80-bit rate %s is %d Hz', (extendedRate, sampleRateHz) => {
    const common = commChunk({ channels: 1, frames: 2, bits: 16, extendedRate })
    expect(open('rate.aiff', aiffBytes([common, soundChunk(big)], 'AIFF')).format.sampleRateHz).toBe(
      sampleRateHz,
    )
  })

  it.each([
    ['NONE', 16, [0x40, 0x00, 0xc0, 0x00]],
    ['twos', 16, [0x40, 0x00, 0xc0, 0x00]],
    ['sowt', 16, [0x00, 0x40, 0x00, 0xc0]],
    ['sowt', 24, [0, 0x00, 0x40, 0, 0x00, 0xc0]],
    ['in24', 24, [0x40, 0, 0, 0xc0, 0, 0]],
    ['in32', 32, [0x40, 0, 0, 0, 0xc0, 0, 0, 0]],
    ['42ni', 24, [0, 0, 0x40, 0, 0, 0xc0]],
    ['23ni', 32, [0, 0, 0, 0x40, 0, 0, 0, 0xc0]],
    ['raw ', 8, [192, 64]],
    ['NONE', 12, [0x40, 0x00, 0xc0, 0x00]],
    ['fl32', 32, [0x3f, 0, 0, 0, 0xbf, 0, 0, 0]],
    ['FL64', 64, [0x3f, 0xe0, 0, 0, 0, 0, 0, 0, 0xbf, 0xe0, 0, 0, 0, 0, 0, 0]],
  ])('AIFF-C type "%s" of %d bits', (type, bits, sound) => {
    const common = commChunk({ channels: 1, frames: 2, bits, type })
    const read = open('c.aifc', aiffBytes([common, soundChunk(Uint8Array.from(sound))], 'AIFC'))
    expect(read.format.container).toBe('aifc')
    expect(read.samples).toEqual([0.5, -0.5])
  })
})
