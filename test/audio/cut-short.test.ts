// Recordings that end before the length in their headers: what is there is read, to the last whole frame, and the
// promised length is known. Held against the words that went in and against FFmpeg.

import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { remarksOn } from '../../app/audio/format-remarks.ts'
import { openAudioFile } from '../../app/audio/open-audio-file.ts'
import { formatOf, openTakeFile } from '../../app/audio/open-take-file.ts'
import { hashFile } from '../../app/audio/sha256.ts'
import { findWorkingCopy, makeWorkingCopy } from '../../app/audio/working-copy.ts'
import { hasTool } from '../require-tool.ts'
import { block, constantFrame, flacStart } from '../signals/flac-bytes.ts'
import {
  aiffBytes,
  chunkBytes,
  commChunk,
  ds64Chunk,
  fmtChunk,
  randomWords,
  soundChunk,
  waveBytes,
  words16,
} from '../signals/wave-bytes.ts'
import { greatestDifference, makeFolder, run, samplesByFfmpeg, samplesOf } from './outside-tools.ts'

const folder = makeFolder()
const put = (name: string, bytes: Uint8Array): string => {
  writeFileSync(join(folder, name), bytes)
  return join(folder, name)
}

const PROMISED = 46_000
const PRESENT = 20_800
const words = randomWords(16, PROMISED, 5)
const sound = words16(words)
/** The words that are there, as samples. */
const present = Float64Array.from(words.slice(0, PRESENT), (word) => word / 2 ** 15)
const swapped = Buffer.from(sound).swap16()
/** Cut one byte into the frame after the last that is there. */
const cutIn = (bytes: Buffer, data: Uint8Array): Buffer =>
  bytes.subarray(0, bytes.indexOf(data.subarray(0, 64)) + 2 * PRESENT + 1)

const WHOLE: readonly (readonly [string, string, Buffer, Uint8Array])[] = [
  ['WAV', 'wav', waveBytes([fmtChunk(), chunkBytes('data', sound)]), sound],
  ['WAVE_FORMAT_EXTENSIBLE', 'wav', waveBytes([fmtChunk({ guidTag: 1 }), chunkBytes('data', sound)]), sound],
  [
    'RF64',
    'rf64',
    waveBytes(
      [ds64Chunk(0, 2 * PROMISED, PROMISED), fmtChunk(), chunkBytes('data', sound, { size: 0xffffffff })],
      'RF64',
    ),
    sound,
  ],
  [
    'AIFF',
    'aiff',
    aiffBytes([commChunk({ channels: 1, frames: PROMISED, bits: 16 }), soundChunk(swapped)], 'AIFF'),
    swapped,
  ],
]

describe.each(WHOLE)('a %s file that is cut short', (what, container, whole, data) => {
  it('has its frames to the last whole one, and nothing unread behind them', () => {
    const path = put(`${what}.${container}`, cutIn(whole, data))
    const source = openAudioFile(path)
    expect(source.format).toMatchObject({
      container,
      frames: PRESENT,
      promisedFrames: PROMISED,
      unreadBytes: 0,
    })
    expect(greatestDifference(samplesOf(source), present)).toBe(0)
    source.close()
    if (hasTool('ffmpeg')) expect(greatestDifference(samplesByFfmpeg(path), present)).toBe(0)
  })

  it('is whole where nothing is cut', () => {
    const source = openAudioFile(put(`whole ${what}.${container}`, whole))
    expect(source.format).toMatchObject({ frames: PROMISED, promisedFrames: PROMISED })
    source.close()
  })
})

it('a file whose header promises hours has what is there', () => {
  const chunks = [ds64Chunk(0, 5 * 2 ** 30, 0), fmtChunk(), chunkBytes('data', sound, { size: 0xffffffff })]
  const source = openAudioFile(put('hours.wav', waveBytes(chunks, 'RF64')))
  expect(source.format).toMatchObject({ frames: PROMISED, promisedFrames: (5 * 2 ** 30) / 2 })
  source.close()
})

const open32 = { size: 0xffffffff }
/** A ds64 chunk whose three sizes are FFFFFFFFFFFFFFFFh, longer than any file. */
const onesChunk = chunkBytes('ds64', Buffer.concat([Buffer.alloc(24, 0xff), Buffer.alloc(4)]))
const UNCLOSED: readonly (readonly [string, Buffer])[] = [
  ['size 0', waveBytes([fmtChunk(), chunkBytes('data', sound, { size: 0 })])],
  ['size FFFFFFFFh without ds64', waveBytes([fmtChunk(), chunkBytes('data', sound, open32)])],
  ['RF64 without ds64', waveBytes([fmtChunk(), chunkBytes('data', sound, open32)], 'RF64')],
  [
    'RF64 whose ds64 says 0',
    waveBytes([ds64Chunk(0, 0, 0), fmtChunk(), chunkBytes('data', sound, open32)], 'RF64'),
  ],
  [
    'RF64 whose ds64 is all ones',
    waveBytes([onesChunk, fmtChunk(), chunkBytes('data', sound, open32)], 'RF64'),
  ],
]

it.each(UNCLOSED)('a WAV that was never closed (%s) is sound to its end', (what, whole) => {
  const path = put(`${what}.wav`, whole.subarray(0, whole.length - 1))
  const source = openAudioFile(path)
  expect(source.format).toMatchObject({ frames: PROMISED - 1, promisedFrames: null, unreadBytes: 0 })
  const all = Float64Array.from(words.slice(0, PROMISED - 1), (word) => word / 2 ** 15)
  expect(greatestDifference(samplesOf(source), all)).toBe(0)
  source.close()
  expect(remarksOn('take.wav', source.format)).toEqual([
    'take.wav was never closed: its header gives no length, so all 1.0 s to its end were taken.',
  ])
})

it.runIf(hasTool('ffmpeg'))('a WAV that a program wrote to a pipe is sound to its end', () => {
  const wave = put('for-the-pipe.wav', waveBytes([fmtChunk(), chunkBytes('data', sound)]))
  const path = put('piped.wav', run('ffmpeg', '-v', 'error', '-i', wave, '-f', 'wav', '-'))
  const source = openAudioFile(path)
  expect(source.format).toMatchObject({ frames: PROMISED, promisedFrames: null })
  source.close()
})

/** An SSND chunk whose size field is `size`. */
const openSound = (size: number): Buffer => {
  const chunk = Buffer.from(soundChunk(swapped))
  chunk.writeUInt32BE(size, 4)
  return chunk
}
const ONES = 0xffffffff
const comm = (frames: number): Buffer => commChunk({ channels: 1, frames, bits: 16 })
const UNCLOSED_AIFF: readonly (readonly [string, Buffer])[] = [
  ['0 frames, SSND of size 0', aiffBytes([comm(0), openSound(0)], 'AIFF')],
  ['0 frames, SSND of its block header', aiffBytes([comm(0), openSound(8)], 'AIFF')],
  ['0 frames, SSND whole', aiffBytes([comm(0), soundChunk(swapped)], 'AIFF')],
  ['frames known, SSND of size 0', aiffBytes([comm(PROMISED), openSound(0)], 'AIFF')],
  ['all ones', aiffBytes([comm(ONES), openSound(ONES)], 'AIFF')],
  ['all ones in COMM', aiffBytes([comm(ONES), soundChunk(swapped)], 'AIFF')],
  ['all ones in SSND', aiffBytes([comm(PROMISED), openSound(ONES)], 'AIFF')],
]

it.each(UNCLOSED_AIFF)('an AIFF that was never closed (%s) is sound to its end', (what, whole) => {
  const path = put(`${what}.aiff`, whole.subarray(0, whole.length - 1))
  const source = openAudioFile(path)
  expect(source.format).toMatchObject({ frames: PROMISED - 1, promisedFrames: null, unreadBytes: 0 })
  const all = Float64Array.from(words.slice(0, PROMISED - 1), (word) => word / 2 ** 15)
  expect(greatestDifference(samplesOf(source), all)).toBe(0)
  source.close()
})

it('an AIFF without a frame count has the frames of its SSND chunk, and no annotation as sound', () => {
  const annotation = chunkBytes('ANNO', Buffer.alloc(90), { isBig: true })
  const source = openAudioFile(put('no.aiff', aiffBytes([comm(0), soundChunk(swapped), annotation], 'AIFF')))
  expect(source.format).toMatchObject({ frames: PROMISED, promisedFrames: null, unreadBytes: 0 })
  source.close()
})

it.each([0, 8])('an AIFF of no sound, with SSND of size %i before an annotation, is empty', (size) => {
  const ssnd = chunkBytes('SSND', Buffer.alloc(size), { isBig: true })
  const annotation = chunkBytes('ANNO', Buffer.alloc(90), { isBig: true })
  const path = put(`none ${size}.aiff`, aiffBytes([comm(0), ssnd, annotation], 'AIFF'))
  expect(() => openAudioFile(path)).toThrow(/has a header and no sound/)
})

it.runIf(hasTool('ffmpeg'))('an AIFF that a program wrote to a pipe is sound to its end', () => {
  const wave = put('for-the-aiff-pipe.wav', waveBytes([fmtChunk(), chunkBytes('data', sound)]))
  const path = put('piped.aiff', run('ffmpeg', '-v', 'error', '-i', wave, '-f', 'aiff', '-'))
  const source = openAudioFile(path)
  expect(source.format).toMatchObject({ frames: PROMISED, promisedFrames: null })
  source.close()
})

it('an AIFF whose frames run past its SSND chunk has those of the chunk, and no annotation as sound', () => {
  const annotation = chunkBytes('ANNO', Buffer.alloc(90), { isBig: true })
  const comm = commChunk({ channels: 1, frames: PROMISED + 3, bits: 16 })
  const source = openAudioFile(put('past.aiff', aiffBytes([comm, soundChunk(swapped), annotation], 'AIFF')))
  expect(source.format).toMatchObject({ frames: PROMISED, promisedFrames: PROMISED + 3 })
  source.close()
})

describe.skipIf(!hasTool('flac') || !hasTool('ffmpeg'))('a FLAC file that is cut short', () => {
  const encoded = (): Buffer => {
    const wave = put('whole.wav', waveBytes([fmtChunk(), chunkBytes('data', sound)]))
    return run('flac', '-s', '-c', wave)
  }
  const open = async (path: string) => {
    const sha256 = await hashFile(path)
    const source = await openTakeFile(path, sha256, join(folder, 'copies'), () => {})
    return { source, format: formatOf(path, source.format) }
  }

  it('within a frame has the frames before it', async () => {
    const bytes = encoded()
    const path = put('cut.flac', bytes.subarray(0, bytes.length >> 1))
    const { source, format } = await open(path)
    expect(format).toMatchObject({ container: 'flac', promisedFrames: PROMISED, unreadBytes: 0 })
    // The encoder's blocks are of 4096 frames.
    expect(format.frames % 4096).toBe(0)
    expect(format.frames).toBeGreaterThan(PROMISED / 2 - 4096)
    expect(format.frames).toBeLessThan(PROMISED / 2 + 4096)
    expect(greatestDifference(samplesOf(source), samplesByFfmpeg(path).subarray(0, format.frames))).toBe(0)
    expect(
      greatestDifference(
        samplesOf(source),
        Float64Array.from(words, (w) => w / 2 ** 15).subarray(0, format.frames),
      ),
    ).toBe(0)
    source.close()
  })

  it('at any byte of a frame is cut short, and never damaged', async () => {
    const frames = Array.from({ length: 10 }, (_, k) => constantFrame(k, k))
    const start = flacStart({ frames: 4096 * 20 })
    for (let kept = 0; kept < frames[9].length; kept++) {
      const path = put(
        `${kept}.flac`,
        Buffer.concat([start, ...frames.slice(0, 9), frames[9].subarray(0, kept)]),
      )
      const { source, format } = await open(path)
      source.close()
      expect(format).toMatchObject({ frames: 4096 * 9, promisedFrames: 4096 * 20 })
    }
  })

  it('and whose length nobody wrote down has the frames before the one that broke off', async () => {
    const frames = Array.from({ length: 10 }, (_, k) => constantFrame(k, k))
    const start = flacStart({ frames: 0 })
    for (let kept = 0; kept < frames[9].length; kept++) {
      const rest = frames[9].subarray(0, kept)
      const path = put(`open ${kept}.flac`, Buffer.concat([start, ...frames.slice(0, 9), rest]))
      const { source, format } = await open(path)
      source.close()
      expect(format).toMatchObject({ frames: 4096 * 9, promisedFrames: null })
    }
  })

  it('is not one that lacks a frame in the middle', async () => {
    const frames = Array.from({ length: 10 }, (_, k) => constantFrame(k, k)).filter((_, k) => k !== 5)
    const start = flacStart({ frames: 4096 * 20 }, [block(1, Buffer.alloc(8))])
    const path = put('gap.flac', Buffer.concat([start, ...frames]))
    await expect(open(path)).rejects.toMatchObject({ code: 'damaged' })
  })
})

it('a working copy that is cut short is made again', async () => {
  const path = put('copied.flac', Buffer.concat([flacStart({ frames: 4096 }), constantFrame(0, 3)]))
  const sha256 = await hashFile(path)
  const copies = join(folder, 'cut copies')
  const copy = await makeWorkingCopy(path, sha256, copies, () => {})
  expect(findWorkingCopy(copies, sha256)).toBe(copy)
  writeFileSync(copy, readFileSync(copy).subarray(0, 1000))
  expect(findWorkingCopy(copies, sha256)).toBeNull()
})

describe('the remark', () => {
  const lengths = { sampleRateHz: 48_000, unreadBytes: 0 }
  it.each([
    [20.8, 46, 'take.wav is cut short: 20.8 of 46.0 s are there.'],
    [45.99, 46, 'take.wav is cut short: 45.99 of 46.00 s are there.'],
    [46 - 1 / 48_000, 46, 'take.wav is cut short: 45.99998 of 46.00000 s are there.'],
  ])('of %f of %f s', (presentS, promisedS, sentence) => {
    const frames = Math.round(presentS * 48_000)
    expect(remarksOn('take.wav', { ...lengths, frames, promisedFrames: promisedS * 48_000 })).toEqual([
      sentence,
    ])
  })

  it('is not made of a whole recording', () => {
    expect(remarksOn('take.wav', { ...lengths, frames: 10, promisedFrames: 10 })).toEqual([])
  })
})
