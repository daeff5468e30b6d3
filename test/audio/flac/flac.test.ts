// FLAC files by the reference encoder and by FFmpeg, unpacked by us and held against the
// reference decoder (flac -d), FFmpeg, and the words that went in.

import { existsSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { readFlacHeader } from '../../../app/audio/flac/flac-header.ts'
import { unpackFlac } from '../../../app/audio/flac/unpack-flac.ts'
import { openInputFile } from '../../../app/audio/input-file.ts'
import type { OnProgress } from '../../../app/audio/on-progress.ts'
import { openAudioFile } from '../../../app/audio/open-audio-file.ts'
import { formatOf, openTakeFile } from '../../../app/audio/open-take-file.ts'
import { hashFile } from '../../../app/audio/sha256.ts'
import { encodeBroadcast } from '../../../app/audio/wave/broadcast.ts'
import { cancelledFailure } from '../../../app/contract/failure.ts'
import { hasTool } from '../../require-tool.ts'
import { chunkBytes, fmtChunk, randomWords, waveBytes } from '../../signals/wave-bytes.ts'
import { ffmpeg, greatestDifference, makeFolder, run, samplesByFfmpeg, samplesOf } from '../outside-tools.ts'

const folder = makeFolder()
const freely: OnProgress = () => {}

/** A WAVE file of words of `bits` bits at the top of whole bytes, extensible so that the depth is kept. */
function makeWave(
  name: string,
  bits: number,
  words: readonly number[],
  channels = 1,
  ...more: Buffer[]
): string {
  const sampleBytes = Math.ceil(bits / 8)
  const bytes = Buffer.alloc(words.length * sampleBytes)
  words.forEach((word, index) => {
    if (bits === 8) bytes[index] = word + 128
    else bytes.writeIntLE(word * 2 ** (8 * sampleBytes - bits), index * sampleBytes, sampleBytes)
  })
  const path = join(folder, name)
  const fmt = fmtChunk({ channels, bits: 8 * sampleBytes, validBits: bits, guidTag: 1 })
  writeFileSync(path, waveBytes([...more, fmt, chunkBytes('data', bytes)]))
  return path
}

describe.skipIf(!hasTool('flac') || !hasTool('metaflac') || !hasTool('ffmpeg'))('FLAC', () => {
  it.each([
    [8, 1],
    [16, 1],
    [16, 2],
    [24, 1],
    [24, 2],
    [24, 6],
  ])('%d bits, %d channels: the very words, by the encoder and by flac -d', async (bits, channels) => {
    const name = `w${bits}-${channels}`
    const words = randomWords(bits, channels * 30_001, bits + channels)
    const wave = makeWave(`${name}.wav`, bits, words, channels)
    const flacPath = join(folder, `${name}.flac`)
    run('flac', '-s', '-f', '--lax', wave, '-o', flacPath)
    const wavPath = join(folder, `${name}-unpacked.wav`)
    await unpackFlac(flacPath, wavPath, freely)
    const source = openAudioFile(wavPath)
    const format = formatOf(flacPath, source.format)
    expect(format).toMatchObject({ container: 'flac', channels, frames: 30_001, sampleRateHz: 48000 })
    expect(source.format).toEqual({ ...format, container: 'wav' })
    const samples = samplesOf(source)
    expect(
      greatestDifference(
        samples,
        Float64Array.from(words, (word) => word / 2 ** (bits - 1)),
      ),
    ).toBe(0)
    const byReference = join(folder, `${name}-reference.wav`)
    run('flac', '-s', '-f', '-d', flacPath, '-o', byReference)
    expect(greatestDifference(samples, samplesOf(openAudioFile(byReference)))).toBe(0)
    expect(greatestDifference(samples, samplesByFfmpeg(flacPath))).toBe(0)
    source.close()
  })

  it('every 24-bit word near full scale, zero and the powers of two survives', async () => {
    const words: number[] = []
    for (let power = 0; power <= 23; power++) {
      for (let near = -300; near <= 300; near++) words.push(2 ** power + near, -(2 ** power) + near)
    }
    const inRange = words.filter((word) => word >= -(2 ** 23) && word < 2 ** 23)
    const wave = makeWave('edges.wav', 24, inRange)
    run('flac', '-s', '-f', wave, '-o', join(folder, 'edges.flac'))
    await unpackFlac(join(folder, 'edges.flac'), join(folder, 'edges-unpacked.wav'), freely)
    const samples = samplesOf(openAudioFile(join(folder, 'edges-unpacked.wav')))
    expect(
      greatestDifference(
        samples,
        Float64Array.from(inRange, (word) => word / 2 ** 23),
      ),
    ).toBe(0)
  })

  it.each([
    ['one frame shorter than a block', 4095],
    ['one whole block', 4096],
    ['many whole blocks', 40_960],
    ['1 sample', 1],
  ])('a stream that ends with %s has its last frame', async (_what, count) => {
    const wave = makeWave('end.wav', 24, randomWords(24, count, count))
    run('flac', '-s', '-f', '--blocksize=4096', wave, '-o', join(folder, 'end.flac'))
    const unpacked = join(folder, `end-${count}-unpacked.wav`)
    await unpackFlac(join(folder, 'end.flac'), unpacked, freely)
    expect(openAudioFile(unpacked).format.frames).toBe(count)
  })

  it('by FFmpeg, near silence, 90 s', async () => {
    const path = join(folder, 'quiet.flac')
    ffmpeg('-f', 'lavfi', '-i', 'anullsrc=r=48000:cl=stereo:d=90', '-c:a', 'flac', path)
    await unpackFlac(path, join(folder, 'quiet.wav'), freely)
    expect(openAudioFile(join(folder, 'quiet.wav')).format.frames).toBe(90 * 48_000)
  })

  it.each([
    ['and no MD5, as a pipe leaves it, is counted, and nothing says that it is whole', 'piped', null],
    ['but an MD5 is known to be whole', 'stored', 10_000],
  ])('a stream whose header has no length (section 8.2: 0) %s', async (_what, way, promisedFrames) => {
    const path = join(folder, `unknown-length-${way}.flac`)
    const wave = makeWave('unknown.wav', 16, randomWords(16, 10_000, 4))
    if (way === 'piped') writeFileSync(path, run('flac', '-s', '-c', wave))
    else run('flac', '-s', '-o', path, wave)
    const bytes = readFileSync(path)
    bytes.writeUInt32BE(0, 8 + 14)
    bytes[8 + 13] &= 0xf0
    writeFileSync(path, bytes)
    const source = await openTakeFile(path, `unknown-length ${way}`, join(folder, 'copies'), freely)
    source.close()
    expect(formatOf(path, source.format)).toMatchObject({ frames: 10_000, promisedFrames })
  })

  it('after an ID3v2 tag', async () => {
    const wave = makeWave('tagged.wav', 16, randomWords(16, 5000, 5))
    const bare = run('flac', '-s', '-c', wave)
    const tag = Buffer.concat([Buffer.from('ID3\x04\0\0\0\0\x01\x00', 'latin1'), Buffer.alloc(128)])
    const path = join(folder, 'tagged.flac')
    writeFileSync(path, Buffer.concat([tag, bare]))
    await unpackFlac(path, join(folder, 'tagged-unpacked.wav'), freely)
    const { format } = openAudioFile(join(folder, 'tagged-unpacked.wav'))
    expect(formatOf(path, format)).toMatchObject({ container: 'flac', frames: 5000 })
  })

  it('keeps the time reference of a bext chunk that the encoder kept', async () => {
    const bext = chunkBytes(
      'bext',
      encodeBroadcast({
        description: 'take 3',
        originator: '',
        originatorReference: '',
        originationDate: '',
        originationTime: '',
        timeReferenceSamples: 123_456,
        codingHistory: '',
      }),
    )
    const wave = makeWave('bext.wav', 24, randomWords(24, 5000, 6), 1, bext)
    const path = join(folder, 'bext.flac')
    run('flac', '-s', '-f', '--keep-foreign-metadata', wave, '-o', path)
    const source = await openTakeFile(path, 'bext-copy', join(folder, 'copies'), freely)
    expect(formatOf(path, source.format).timeReferenceSamples).toBe(123_456)
    expect(source.format.timeReferenceSamples).toBe(123_456)
    source.close()
  })

  it('openTakeFile unpacks once, to a copy named by its own hash, makes a damaged copy again, and opens others as they are', async () => {
    const wave = makeWave('once.wav', 24, randomWords(24, 20_000, 7))
    const path = join(folder, 'once.flac')
    run('flac', '-s', '-f', wave, '-o', path)
    const sha256 = await hashFile(path)
    const working = join(folder, 'working', 'copies')
    const two = await Promise.all([
      openTakeFile(path, sha256, working, freely),
      openTakeFile(path, sha256, working, freely),
    ])
    for (const source of two) source.close()
    expect(readdirSync(working)).toEqual([sha256])
    const [name] = readdirSync(join(working, sha256))
    const copy = join(working, sha256, name)
    expect(name).toBe(`${await hashFile(copy)}.wav`)
    const made = statSync(copy).mtimeMs
    ;(await openTakeFile(path, sha256, working, freely)).close()
    expect(statSync(copy).mtimeMs).toBe(made)

    const whole = readFileSync(copy)
    writeFileSync(copy, whole.subarray(0, 1000))
    const again = await openTakeFile(path, sha256, working, freely)
    expect(again.format.frames).toBe(20_000)
    again.close()
    expect(readFileSync(copy).equals(whole)).toBe(true)

    const plain = await openTakeFile(wave, 'unused', join(folder, 'unused'), freely)
    expect(plain.format.container).toBe('wav')
    plain.close()
    expect(existsSync(join(folder, 'unused'))).toBe(false)
  })

  describe('what is refused, with nothing left behind', () => {
    const wave = makeWave('bad.wav', 24, randomWords(24, 96_000, 8))
    const whole = () => run('flac', '-s', '-c', wave)
    const out = join(folder, 'refused.wav')

    function headerOf(bytes: Uint8Array) {
      writeFileSync(join(folder, 'header.flac'), bytes)
      const file = openInputFile(join(folder, 'header.flac'))
      const header = readFlacHeader(file)
      file.close()
      return header
    }

    async function expectRefused(bytes: Uint8Array, code: string, says: RegExp, moved: OnProgress = freely) {
      const path = join(folder, 'refused.flac')
      writeFileSync(path, bytes)
      await expect(unpackFlac(path, out, moved)).rejects.toMatchObject({
        code,
        message: expect.stringMatching(says),
      })
      expect(readdirSync(folder).filter((name) => name.startsWith('refused.wav'))).toEqual([])
    }

    it('cut within its first frame: says how much is promised, and that nothing is there', async () => {
      const bytes = whole()
      const { streamStartByte } = headerOf(bytes)
      await expectRefused(
        bytes.subarray(0, streamStartByte + 50),
        'damaged',
        /promises 2\.00 s and none of it can be read/,
      )
    })

    it('cut within the header', () => expectRefused(whole().subarray(0, 30), 'damaged', /damaged FLAC/))

    it('one flipped bit in the sound', async () => {
      const bytes = whole()
      bytes[bytes.length >> 1] ^= 4
      await expectRefused(bytes, 'damaged', /promises 2\.00 s/)
    })

    it('sound that is not the one of the MD5 (section 8.2)', async () => {
      const bytes = whole()
      bytes[8 + 20] ^= 1
      await expectRefused(bytes, 'damaged', /checksum \(MD5\)/)
    })

    it('a header alone', async () => {
      const bytes = whole()
      bytes.writeUInt32BE(0, 8 + 14)
      const path = join(folder, 'alone.flac')
      writeFileSync(path, bytes)
      run('metaflac', '--remove-all', '--dont-use-padding', path)
      await expectRefused(readFileSync(path).subarray(0, 42), 'empty', /no sound/)
    })

    it('a run that is stopped', () =>
      expectRefused(whole(), 'cancelled', /Cancelled/, () => {
        throw cancelledFailure()
      }))

    it('32 bits, which the decoder cannot give without loss', async () => {
      const bytes = whole()
      bytes[8 + 12] |= 1
      bytes[8 + 13] |= 0xf0
      await expectRefused(bytes, 'not-supported', /32-bit FLAC/)
    })

    it('20 bits, for which the decoder has no scale', async () => {
      const odd = makeWave('20.wav', 20, randomWords(20, 5000, 9))
      await expectRefused(run('flac', '-s', '--lax', '-c', odd), 'not-supported', /20-bit FLAC/)
    })

    it('opened by span without being unpacked', () => {
      writeFileSync(join(folder, 'spans.flac'), whole())
      expect(() => openAudioFile(join(folder, 'spans.flac'))).toThrow(
        expect.objectContaining({
          code: 'not-supported',
          message: expect.stringContaining('has to be unpacked'),
        }),
      )
    })
  })
})
