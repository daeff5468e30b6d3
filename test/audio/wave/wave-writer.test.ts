// The files that we write, judged by FFmpeg, ffprobe and SoX, and their headers by
// ITU-R BS.2088 and EBU Tech 3285 appendix A.

import { existsSync, readdirSync, readFileSync, truncateSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { openAudioFile } from '../../../app/audio/open-audio-file.ts'
import { encodeWaveHeader } from '../../../app/audio/wave/wave-header.ts'
import { createWaveWriter } from '../../../app/audio/wave/wave-writer.ts'
import type { Channels } from '../../../app/dsp/stage.ts'
import { hasTool } from '../../require-tool.ts'
import { randomWords } from '../../signals/wave-bytes.ts'
import { greatestDifference, makeFolder, run, samplesByFfmpeg, samplesOf } from '../outside-tools.ts'

const folder = makeFolder()
const broadcast = {
  description: 'a stem',
  originator: 'Takeloft',
  originatorReference: 'R1',
  originationDate: '2026-11-25',
  originationTime: '10:00:00',
  timeReferenceSamples: 1_728_000_000,
  // An odd number of characters, so that the chunk needs its pad byte.
  codingHistory: 'A=PCM,F=48000,W=24,M=stereo,T=odd\r\n',
}
const FRAMES = 100_003

function interleaved(channels: Channels): Float64Array {
  const all = new Float64Array(channels.length * channels[0].length)
  channels.forEach((channel, index) => {
    channel.forEach((sample, frame) => {
      all[frame * channels.length + index] = sample
    })
  })
  return all
}

function noise(bits: number, channels: number): Float64Array[] {
  return Array.from({ length: channels }, (_, channel) =>
    Float64Array.from(randomWords(bits, FRAMES, 11 + channel), (word) => word / 2 ** (bits - 1)),
  )
}

function writeInBlocks(
  path: string,
  sound: readonly Float64Array[],
  options: Parameters<typeof createWaveWriter>[1],
): ReturnType<typeof createWaveWriter> {
  const writer = createWaveWriter(path, options)
  for (let at = 0; at < FRAMES; at += 1024) {
    const frames = Math.min(1024, FRAMES - at)
    writer.write(
      sound.map((channel) => channel.subarray(at, at + frames)),
      frames,
    )
  }
  return writer
}

const cases = (['pcm-16', 'pcm-24', 'float-32'] as const).flatMap((encoding) =>
  [1, 2].map((channels) => ({ encoding, channels, bits: encoding === 'pcm-16' ? 16 : 24 })),
)

describe.skipIf(!hasTool('ffprobe') || !hasTool('ffmpeg') || !hasTool('soxi'))('files read by others', () => {
  it.each(cases)(
    '$encoding with $channels channels: length, rate and every sample',
    ({ encoding, channels, bits }) => {
      const path = join(folder, `${encoding}-${channels}.wav`)
      const sound = noise(bits, channels)
      writeInBlocks(path, sound, {
        sampleRateHz: 48000,
        channels,
        encoding,
        broadcast,
        ditherSeed: null,
      }).finish()

      const probed = JSON.parse(
        run('ffprobe', '-v', 'error', '-of', 'json', '-show_streams', '-show_format', path).toString(),
      )
      expect(probed.streams[0]).toMatchObject({
        codec_name: { 'pcm-16': 'pcm_s16le', 'pcm-24': 'pcm_s24le', 'float-32': 'pcm_f32le' }[encoding],
        sample_rate: '48000',
        channels,
        duration_ts: FRAMES,
      })
      expect(probed.format.tags).toMatchObject({
        comment: 'a stem',
        date: '2026-11-25',
        time_reference: '1728000000',
      })
      expect(run('soxi', '-s', path).toString().trim()).toBe(String(FRAMES))
      expect(run('soxi', '-r', path).toString().trim()).toBe('48000')
      expect(run('soxi', '-c', path).toString().trim()).toBe(String(channels))

      const expected = interleaved(sound)
      expect(greatestDifference(samplesByFfmpeg(path), expected)).toBe(0)
      const bySox = run('sox', path, '-t', 'raw', '-e', 'floating-point', '-b', '64', '-')
      expect(greatestDifference(new Float64Array(Uint8Array.from(bySox).buffer), expected)).toBe(0)
      const source = openAudioFile(path)
      expect(source.format).toEqual({
        container: 'wav',
        encoding,
        sampleRateHz: 48000,
        channels,
        frames: FRAMES,
        promisedFrames: FRAMES,
        timeReferenceSamples: 1_728_000_000,
        unreadBytes: 0,
        lateStampSamples: null,
      })
      expect(greatestDifference(samplesOf(source), expected)).toBe(0)
      source.close()
      expect(existsSync(`${path}.part`)).toBe(false)
    },
  )

  it('six channels of 24 bits carry the extensible header and are read alike', () => {
    const path = join(folder, 'six.wav')
    const sound = noise(24, 6)
    writeInBlocks(path, sound, {
      sampleRateHz: 96000,
      channels: 6,
      encoding: 'pcm-24',
      ditherSeed: null,
    }).finish()
    expect(greatestDifference(samplesByFfmpeg(path), interleaved(sound))).toBe(0)
    expect(run('soxi', '-c', path).toString().trim()).toBe('6')
  })

  it('a sparse file of 5 GiB with our RF64 header has its whole length in ffprobe and in our reader', () => {
    const path = join(folder, 'long.wav')
    const dataBytes = 6 * 900_000_000
    const header = encodeWaveHeader({
      encoding: 'pcm-24',
      sampleRateHz: 48000,
      channels: 2,
      dataBytes,
      broadcast: null,
      trailingBytes: 0,
    })
    writeFileSync(path, header)
    truncateSync(path, header.length + dataBytes)
    const probed = JSON.parse(run('ffprobe', '-v', 'error', '-of', 'json', '-show_streams', path).toString())
    expect(probed.streams[0].duration_ts).toBe(900_000_000)
    const source = openAudioFile(path)
    expect(source.format).toMatchObject({ container: 'rf64', frames: 900_000_000 })
    const last = [new Float64Array(4).fill(9), new Float64Array(4).fill(9)]
    source.read(899_999_998, 4, last)
    expect([...last[1]]).toEqual([0, 0, 0, 0])
    source.close()
  })
})

describe('header of a long file, ITU-R BS.2088 sections 2.4, 3.2, 4.1 to 4.3', () => {
  const facts = {
    encoding: 'pcm-24',
    sampleRateHz: 48000,
    channels: 2,
    broadcast: null,
    trailingBytes: 0,
  } as const
  const long = encodeWaveHeader({ ...facts, dataBytes: 6 * 900_000_000 })

  it('is RF64 with FFFFFFFFh for both 32-bit sizes and ds64 as the first chunk', () => {
    expect(long.toString('latin1', 0, 4)).toBe('RF64')
    expect(long.readUInt32LE(4)).toBe(0xffffffff)
    expect(long.toString('latin1', 8, 16)).toBe('WAVEds64')
    expect(long.readUInt32LE(16)).toBe(28)
    expect(long.toString('latin1', long.length - 8, long.length - 4)).toBe('data')
    expect(long.readUInt32LE(long.length - 4)).toBe(0xffffffff)
  })

  it('has outer size, data size and sample count in ds64, low word first, and no table', () => {
    const riffBytes = long.length + 5_400_000_000 - 8
    const pair = (value: number) => [value % 2 ** 32, Math.floor(value / 2 ** 32)]
    expect([20, 24].map((at) => long.readUInt32LE(at))).toEqual(pair(riffBytes))
    expect([28, 32].map((at) => long.readUInt32LE(at))).toEqual(pair(5_400_000_000))
    expect([36, 40].map((at) => long.readUInt32LE(at))).toEqual(pair(900_000_000))
    expect(long.readUInt32LE(44)).toBe(0)
  })

  it('is RIFF with a JUNK chunk in that place and the same length while 32 bits are enough', () => {
    const fits = Math.floor((2 ** 32 - 2 - long.length + 8) / 6) * 6
    const short = encodeWaveHeader({ ...facts, dataBytes: fits })
    expect(short.length).toBe(long.length)
    expect(short.toString('latin1', 0, 4)).toBe('RIFF')
    expect(short.toString('latin1', 12, 16)).toBe('JUNK')
    expect(short.readUInt32LE(4)).toBe(short.length + fits - 8)
    expect(short.readUInt32LE(short.length - 4)).toBe(fits)
    expect(encodeWaveHeader({ ...facts, dataBytes: fits + 6 }).toString('latin1', 0, 4)).toBe('RF64')
  })
})

describe('fmt and fact, Tech 3285 appendix A', () => {
  it('three bytes mono at 44.1 kHz have block 3 and 132300 bytes per second (A2.3)', () => {
    const header = encodeWaveHeader({
      encoding: 'pcm-24',
      sampleRateHz: 44100,
      channels: 1,
      dataBytes: 0,
      broadcast: null,
      trailingBytes: 0,
    })
    expect(header.toString('latin1', 48, 52)).toBe('fmt ')
    expect(header.readUInt32LE(52)).toBe(16)
    expect(header.readUInt16LE(56)).toBe(1)
    expect(header.readUInt32LE(64)).toBe(132300)
    expect(header.readUInt16LE(68)).toBe(3)
  })

  it('a float file has tag 3 and a fact chunk with the sample count', () => {
    const header = encodeWaveHeader({
      encoding: 'float-32',
      sampleRateHz: 48000,
      channels: 2,
      dataBytes: 8000,
      broadcast: null,
      trailingBytes: 0,
    })
    expect(header.readUInt16LE(56)).toBe(3)
    const fact = header.indexOf('fact')
    expect(header.readUInt32LE(fact + 4)).toBe(4)
    expect(header.readUInt32LE(fact + 8)).toBe(1000)
  })
})

describe('words', () => {
  it('24-bit words without dither come back bit for bit, also through the odd pad byte', () => {
    const path = join(folder, 'odd.wav')
    const words = randomWords(24, 1001, 3)
    const writer = createWaveWriter(path, {
      sampleRateHz: 48000,
      channels: 1,
      encoding: 'pcm-24',
      ditherSeed: null,
    })
    writer.write([Float64Array.from(words, (word) => word / 2 ** 23)], words.length)
    expect(writer.clippedSamples).toBe(0)
    writer.finish()
    const bytes = readFileSync(path)
    expect(bytes.length % 2).toBe(0)
    expect(bytes.readUInt32LE(4)).toBe(bytes.length - 8)
    const start = bytes.length - 1 - 3003
    expect(words.map((_, index) => bytes.readIntLE(start + 3 * index, 3))).toEqual(words)
  })

  it('dithers 24 bits with an error power of LSB^2/4 (TPDF, Lipshitz et al. 1992), within 0.2 dB', () => {
    const path = join(folder, 'dithered.wav')
    const sound = [Float64Array.from({ length: FRAMES }, (_, n) => 0.3 * Math.sin(n * 0.1234567))]
    writeInBlocks(path, sound, {
      sampleRateHz: 48000,
      channels: 1,
      encoding: 'pcm-24',
      ditherSeed: 5,
    }).finish()
    const read = samplesOf(openAudioFile(path))
    const power = read.reduce((sum, sample, n) => sum + (sample - sound[0][n]) ** 2, 0) / FRAMES
    const overTheoryDb = 10 * Math.log10(power / (2 ** -46 / 4))
    expect(Math.abs(overTheoryDb)).toBeLessThan(0.2)
  })

  it('the same seed gives the same bytes', () => {
    const [one, other] = ['a', 'b'].map((name) => {
      const path = join(folder, `seed-${name}.wav`)
      writeInBlocks(path, noise(24, 2), {
        sampleRateHz: 48000,
        channels: 2,
        encoding: 'pcm-16',
        ditherSeed: 9,
      }).finish()
      return readFileSync(path)
    })
    expect(one.equals(other)).toBe(true)
  })

  it.each(['pcm-16', 'pcm-24'] as const)('%s holds and counts samples beyond full scale', (encoding) => {
    const path = join(folder, `clipped-${encoding}.wav`)
    const writer = createWaveWriter(path, { sampleRateHz: 48000, channels: 1, encoding, ditherSeed: null })
    writer.write([Float64Array.of(1, 1.5, -1, -1.5, 0.5)], 5)
    expect(writer.clippedSamples).toBe(3)
    writer.finish()
    const top = encoding === 'pcm-16' ? 32767 / 32768 : 8388607 / 8388608
    expect([...samplesOf(openAudioFile(path))]).toEqual([top, top, -1, -1, 0.5])
  })

  it('floats keep what is beyond full scale', () => {
    const path = join(folder, 'over.wav')
    const writer = createWaveWriter(path, {
      sampleRateHz: 48000,
      channels: 1,
      encoding: 'float-32',
      ditherSeed: null,
    })
    writer.write([Float64Array.of(1.5, -2)], 2)
    writer.finish()
    expect([...samplesOf(openAudioFile(path))]).toEqual([1.5, -2])
  })

  it.each(['pcm-24', 'float-32'] as const)('%s refuses what is no number and leaves nothing', (encoding) => {
    const path = join(folder, 'nan.wav')
    const writer = createWaveWriter(path, { sampleRateHz: 48000, channels: 1, encoding, ditherSeed: null })
    expect(() => writer.write([Float64Array.of(0, Number.NaN)], 2)).toThrow(
      expect.objectContaining({ code: 'not-finite', details: expect.objectContaining({ frame: 1 }) }),
    )
    expect(readdirSync(folder).filter((name) => name.startsWith('nan'))).toEqual([])
  })

  it('loudness handed in at the end stands in the file', () => {
    const path = join(folder, 'loudness.wav')
    const options = {
      sampleRateHz: 48000,
      channels: 1,
      encoding: 'pcm-24',
      broadcast,
      ditherSeed: null,
    } as const
    const writer = createWaveWriter(path, options)
    writer.write([new Float64Array(10)], 10)
    writer.finish({
      integratedLufs: -22.645,
      loudnessRangeLu: 12.765,
      maxTruePeakDbtp: -1,
      maxMomentaryLufs: null,
      maxShortTermLufs: -20,
    })
    const bytes = readFileSync(path)
    const bext = bytes.indexOf('bext') + 8
    expect([412, 414, 416, 418, 420].map((at) => bytes.readUInt16LE(bext + at))).toEqual([
      0xf727, 0x04fd, 0xff9c, 0x7fff, 0xf830,
    ])
  })
})
