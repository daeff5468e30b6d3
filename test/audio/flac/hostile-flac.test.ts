// FLAC that is damaged, cut, padded, tagged or made to hold a program up. A sound file is never
// refused (material by the reference encoder and FFmpeg), and a broken one is given up where it
// breaks: the work is counted in bytes read from the file.

import { copyFileSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { decodeFlac } from '../../../app/audio/flac/flac-decoding.ts'
import { mostFrameBytes } from '../../../app/audio/flac/flac-frames.ts'
import { readFlacHeader } from '../../../app/audio/flac/flac-header.ts'
import { unpackFlac } from '../../../app/audio/flac/unpack-flac.ts'
import { openInputFile } from '../../../app/audio/input-file.ts'
import { openAudioFile } from '../../../app/audio/open-audio-file.ts'
import { MAX_SOUND_SECONDS } from '../../../app/contract/text/limits.ts'
import { createRandom } from '../../../app/dsp/maths/random.ts'
import { hasTool } from '../../require-tool.ts'
import { block, constantFrame, flacStart } from '../../signals/flac-bytes.ts'
import { chunkBytes, fmtChunk, randomWords, waveBytes } from '../../signals/wave-bytes.ts'
import { ffmpeg, greatestDifference, makeFolder, run, samplesByFfmpeg, samplesOf } from '../outside-tools.ts'

const folder = makeFolder()
const freely = (): void => {}

const store = (name: string, ...parts: Uint8Array[]): string => {
  writeFileSync(join(folder, name), Buffer.concat(parts))
  return join(folder, name)
}

/** 24-bit noise, which does not pack, so that frames are as large as they get. */
function noise(name: string, frames: number, { channels = 1, sampleRateHz = 48_000 } = {}): string {
  const words = randomWords(24, frames * channels, frames)
  const bytes = Buffer.alloc(3 * words.length)
  for (const [k, word] of words.entries()) bytes.writeIntLE(word, 3 * k, 3)
  const facts = { channels, bits: 24, sampleRateHz, ...(channels > 2 ? { guidTag: 1 } : {}) }
  return store(name, waveBytes([fmtChunk(facts), chunkBytes('data', bytes)]))
}

async function unpacked(path: string): Promise<Float64Array> {
  const wavPath = join(folder, `unpacked-${Math.random()}.wav`)
  await unpackFlac(path, wavPath, freely)
  const source = openAudioFile(wavPath)
  try {
    return samplesOf(source)
  } finally {
    source.close()
  }
}

/** What unpacking throws. */
const refusalOf = (path: string) =>
  unpackFlac(path, join(folder, 'refused.wav'), freely).then(
    () => ({ code: 'taken', message: '' }),
    (error) => error as { code: string; message: string },
  )

/** The same stream as an encoder leaves it that writes into a pipe: no length, no checksum. */
function asPiped(path: string, name: string): string {
  const bytes = readFileSync(path)
  bytes[8 + 13] &= 0xf0
  bytes.fill(0, 8 + 14, 8 + 34)
  return store(name, bytes)
}

const random = createRandom(11)
const rubbish = (length: number): Buffer =>
  Buffer.from(Uint8Array.from({ length }, () => Math.floor(random.uniform() * 256)))
const BEHIND: readonly (readonly [string, Buffer])[] = [
  ['nothing', Buffer.alloc(0)],
  ['an ID3v1 tag', Buffer.concat([Buffer.from('TAG'), Buffer.alloc(125, 'x')])],
  ['an APEv2 tag', Buffer.concat([Buffer.from('APETAGEX'), rubbish(3000)])],
  ['100 KB of zeros', Buffer.alloc(100_000)],
  ['1 MB of anything', rubbish(1_000_000)],
]

describe.skipIf(!hasTool('flac') || !hasTool('ffmpeg'))('sound FLAC is read to the last sample', () => {
  it.each([16, 192, 256, 576, 1152, 4096, 4608, 16_384, 32_768, 65_535])(
    'with blocks of %d samples, stereo noise',
    async (blocksize) => {
      const wave = noise('blocks.wav', 70_001, { channels: 2 })
      const path = join(folder, 'blocks.flac')
      run('flac', '-s', '-f', '--lax', `--blocksize=${blocksize}`, wave, '-o', path)
      expect(greatestDifference(await unpacked(path), samplesByFfmpeg(wave))).toBe(0)
    },
  )

  it.each([8000, 11_025, 48_001, 96_001, 655_350, 705_600, 768_000])('at %d Hz', async (sampleRateHz) => {
    const wave = noise('rate.wav', 10_000, { sampleRateHz })
    const path = join(folder, 'rate.flac')
    run('flac', '-s', '-f', '--lax', wave, '-o', path)
    expect(greatestDifference(await unpacked(path), samplesByFfmpeg(wave))).toBe(0)
  })

  it('by FFmpeg, with blocks of its own', async () => {
    const wave = noise('other.wav', 50_000, { channels: 2 })
    const path = join(folder, 'other.flac')
    ffmpeg('-i', wave, '-c:a', 'flac', '-compression_level', '12', path)
    expect(greatestDifference(await unpacked(path), samplesByFfmpeg(wave))).toBe(0)
  })

  it.each(BEHIND)('with %s behind the sound, whether its length is known or not', async (what, behind) => {
    const wave = noise('tail.wav', 30_000)
    const flac = join(folder, 'tail.flac')
    run('flac', '-s', '-f', wave, '-o', flac)
    const path = store(`tail ${what}.flac`, readFileSync(flac), behind)
    const words = samplesByFfmpeg(wave)
    expect(greatestDifference(await unpacked(path), words)).toBe(0)
    const piped = asPiped(path, 'piped.flac')
    expect(greatestDifference(await unpacked(piped), words)).toBe(0)
  })

  it('at a rate that only STREAMINFO can say, with a tag behind the sound', async () => {
    const wave = noise('high.wav', 20_000, { sampleRateHz: 768_000 })
    const flac = join(folder, 'high.flac')
    run('flac', '-s', '-f', '--lax', wave, '-o', flac)
    for (const [what, behind] of BEHIND) {
      const path = store(`high ${what}.flac`, readFileSync(flac), behind)
      expect(greatestDifference(await unpacked(path), samplesByFfmpeg(wave))).toBe(0)
    }
  })

  it('with six channels; frames that the decoder cannot take are named, not called damage', async () => {
    const wave = noise('six.wav', 70_000, { channels: 6 })
    const path = join(folder, 'six.flac')
    run('flac', '-s', '-f', wave, '-o', path)
    expect(greatestDifference(await unpacked(path), samplesByFfmpeg(wave))).toBe(0)
    run('flac', '-s', '-f', '--lax', '--blocksize=65535', wave, '-o', path)
    const { code, message } = await refusalOf(path)
    expect(code).toBe('not-supported')
    expect(message).toMatch(/frames of \d{7} bytes, and at most 524280 can be read; encode it again/)
  })
})

describe('broken FLAC', () => {
  const FRAMES = 600
  const sound = Array.from({ length: FRAMES }, (_, k) => constantFrame(k, k))
  const start = (frames = 4096 * FRAMES): Buffer => flacStart({ frames })
  const without = (k: number): Buffer[] => sound.filter((_, n) => n !== k)

  it('made here is sound to begin with, as FFmpeg reads it too', async () => {
    const path = store('sound.flac', start(), ...sound)
    const samples = await unpacked(path)
    expect(samples).toEqual(Float64Array.from({ length: 4096 * FRAMES }, (_, n) => (n >> 12) / 2 ** 15))
    if (hasTool('ffmpeg')) expect(greatestDifference(samples, samplesByFfmpeg(path))).toBe(0)
  })

  const flipped = (k: number, byte: number): Buffer[] =>
    sound.map((frame, n) => {
      const bytes = Buffer.from(frame)
      if (n === k) bytes[byte] ^= 1
      return bytes
    })

  it.each<[string, Buffer[]]>([
    ['a bit wrong in a sample', flipped(300, 8)],
    ['a bit wrong in a header', flipped(300, 2)],
    ['a bit wrong in a checksum', flipped(300, 10)],
    ['a frame that is missing', without(300)],
    ['zeros in place of frames', [...sound.slice(0, 300), Buffer.alloc(2_000_000), ...sound.slice(400)]],
    ['bytes lost in the middle', [...sound.slice(0, 300), sound[300].subarray(5), ...sound.slice(301)]],
  ])('with %s is refused as damaged, whether its length is known or not', async (_what, frames) => {
    const known = await refusalOf(store('known.flac', start(), ...frames))
    expect(known.code).toBe('damaged')
    expect(known.message).toMatch(/promises 51\.20 s and (25\.60|51\.11) s can be read; copy it again/)
    expect((await refusalOf(store('unknown.flac', start(0), ...frames))).code).toBe('damaged')
  })

  it('is not what a stream is that begins with a later frame, as a cut without encoding leaves it', async () => {
    const samples = await unpacked(store('cut.flac', start(0), ...sound.slice(100)))
    expect(samples).toEqual(Float64Array.from({ length: 4096 * 500 }, (_, n) => ((n >> 12) + 100) / 2 ** 15))
  })

  it('with more sound than it promises is refused', async () => {
    const { message } = await refusalOf(store('more.flac', start(4096 * 10), ...sound))
    expect(message).toMatch(/promises 0\.85 s and 0\.94 s can be read/)
  })

  it.each<[string, Buffer]>([
    ['headers without end', Buffer.concat(Array(200_000).fill(sound[0].subarray(0, 6)))],
    [
      'headers in zeros',
      Buffer.concat(Array(60_000).fill(Buffer.concat([sound[0].subarray(0, 6), Buffer.alloc(64)]))),
    ],
    ['noise', rubbish(4_000_000)],
    ['zeros', Buffer.alloc(4_000_000)],
    ['bytes of FFh', Buffer.alloc(4_000_000, 0xff)],
  ])('of %s is given up after one frame’s worth of bytes', async (_what, bytes) => {
    const path = store('hostile.flac', start(), sound[0], bytes)
    const file = openInputFile(path)
    const header = readFlacHeader(file)
    let read = 0
    const counted = {
      ...file,
      readInto(into: Uint8Array, length: number, position: number) {
        read += length
        return file.readInto(into, length, position)
      },
    }
    let frames = 0
    for await (const span of decodeFlac(counted, header)) frames += span.frames
    file.close()
    expect(frames).toBe(4096)
    expect(read).toBeLessThanOrEqual(4 * mostFrameBytes(header))
    expect((await refusalOf(path)).message).toMatch(/promises 51\.20 s and 0\.09 s can be read/)
  })

  it('with a header of blocks without end is refused', async () => {
    const endless = flacStart(
      {},
      Array.from({ length: 20_000 }, () => block(1, Buffer.alloc(0))),
    )
    expect((await refusalOf(store('blocks.flac', endless))).message).toMatch(/more than 10000 blocks/)
  })

  it('that would unpack to more than a day is refused before it is', async () => {
    const path = store('long.flac', start(MAX_SOUND_SECONDS * 48_000 + 1), ...sound)
    expect(await refusalOf(path)).toMatchObject({
      code: 'not-supported',
      message: expect.stringMatching(/is 24\.0 hours long, and at most 24 can be read; cut it/),
    })
  })

  it('leaves the file as it was', async () => {
    const path = store('before.flac', start(), ...without(3))
    copyFileSync(path, `${path}.copy`)
    await refusalOf(path)
    expect(readFileSync(path).equals(readFileSync(`${path}.copy`))).toBe(true)
  })
})
