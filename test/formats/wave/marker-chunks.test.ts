// Markers in WAVE files: bytes laid out by hand from the chunk definitions, and what FFmpeg, ExifTool and libsndfile
// read in our files.

import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { openAudioFile } from '../../../app/audio/open-audio-file.ts'
import { encodeWaveHeader } from '../../../app/audio/wave/wave-header.ts'
import { createWaveWriter } from '../../../app/audio/wave/wave-writer.ts'
import type { FileMarker } from '../../../app/formats/markers/file-marker.ts'
import { infoChunk } from '../../../app/formats/wave/info-chunk.ts'
import { ixmlChunk } from '../../../app/formats/wave/ixml.ts'
import { markerChunks } from '../../../app/formats/wave/marker-chunks.ts'
import { hasTool } from '../../require-tool.ts'

const hasFfprobe = hasTool('ffprobe')
const hasExiftool = hasTool('exiftool')
const hasSndfile = hasTool('sndfile-info')
const hasPython = hasTool('python3')

/** The cues as sf_command(SFC_GET_CUE) gives them (sndfile.h 1.2: SF_INFO, SF_CUE_POINT, SF_CUES). */
const CUES_BY_LIBSNDFILE = `
import ctypes as c, json, sys
class Info(c.Structure): _fields_ = [('frames', c.c_int64)] + [(n, c.c_int) for n in ('rate', 'channels', 'format', 'sections', 'seekable')]
class Cue(c.Structure): _fields_ = [('indx', c.c_int32), ('position', c.c_uint32), ('fcc', c.c_int32), ('chunk', c.c_int32), ('block', c.c_int32), ('offset', c.c_uint32), ('name', c.c_char * 256)]
class Cues(c.Structure): _fields_ = [('count', c.c_uint32), ('points', Cue * 100)]
lib = c.CDLL('libsndfile.so.1')
lib.sf_open.restype = c.c_void_p
lib.sf_command.argtypes = [c.c_void_p, c.c_int, c.c_void_p, c.c_int]
info, cues = Info(), Cues()
file = lib.sf_open(sys.argv[1].encode(), 0x10, c.byref(info))
assert lib.sf_command(file, 0x10CE, c.byref(cues), c.sizeof(cues)) == 1
print(json.dumps([[p.offset, p.name.decode('latin1')] for p in cues.points[:cues.count]]))
`

const folder = mkdtempSync(join(tmpdir(), 'takeloft-markers-'))
afterAll(() => rmSync(folder, { recursive: true }))

const run = (tool: string, ...args: string[]): string =>
  execFileSync(tool, args, { maxBuffer: 2 ** 26, stdio: ['ignore', 'pipe', 'ignore'] }).toString()

const marker = (name: string, startFrame: number, frames = 0, note = ''): FileMarker => ({
  ...{ name, startFrame, frames, note },
})

const TWO = [marker('Verse 1', 48_000, 0, 'sung twice'), marker('Chorus', 96_000, 48_000)]

/** Sections of a second each, a third of them with a note, with texts of even and odd length. */
const HUNDRED = Array.from({ length: 100 }, (_, k) =>
  marker(`Part ${k}${'x'.repeat(k % 3)}`, 1000 * k, k % 2 === 0 ? 500 : 0, k % 3 === 0 ? `note ${k}` : ''),
)

function writeFile(name: string, markers: readonly FileMarker[], frames = 100_001): string {
  const path = join(folder, name)
  const writer = createWaveWriter(path, {
    sampleRateHz: 48_000,
    channels: 1,
    encoding: 'pcm-24',
    ditherSeed: null,
    broadcast: {
      description: 'markers',
      originator: 'test',
      originatorReference: 'a'.repeat(32),
      originationDate: '2026-03-14',
      originationTime: '00:00:00',
      timeReferenceSamples: 172_800_000,
      codingHistory: '',
    },
    trailing: Buffer.concat([
      markerChunks(markers),
      infoChunk({ title: 'Night Train, Lead', artist: 'Zoë', comment: 'stem', software: 'test' }),
      ixmlChunk({
        project: 'Zoë & <Co>: Night Train',
        take: 'Łódź 東京',
        note: '',
        fileUid: 'a'.repeat(32),
        sampleRateHz: 48_000,
        bits: 24,
        timeReferenceSamples: 172_800_000,
        channels: 1,
        function: 'LEAD',
        markers,
      }),
    ]),
  })
  writer.write([new Float64Array(frames).fill(0.25)], frames)
  writer.finish()
  return path
}

describe('the chunks of two markers', () => {
  it('are these bytes: cue points with the frame in both fields, labels, then ranges, then notes', () => {
    // Laid out by hand: id, position, 'data', 0, 0, position for each; texts end in NUL and are even.
    const hex = [
      '63756520 34000000 02000000  01000000 80bb0000 64617461 00000000 00000000 80bb0000',
      '02000000 00770100 64617461 00000000 00000000 00770100',
      '4c495354 60000000 6164746c  6c61626c 0c000000 01000000 5665727365203100',
      '6c61626c 0c000000 02000000 43686f7275730000',
      '6c747874 14000000 02000000 80bb0000 72676e20 00000000 00000000',
      '6e6f7465 10000000 01000000 73756e672074776963650000',
    ]
    expect(markerChunks(TWO).toString('hex')).toBe(hex.join('').replaceAll(' ', ''))
  })

  it('are nothing without markers, and leave out what 32 bits cannot say', () => {
    expect(markerChunks([])).toHaveLength(0)
    expect(markerChunks([marker('a', 2 ** 32)])).toHaveLength(0)
    expect(markerChunks([marker('a', 2 ** 32 - 1)]).readUInt32LE(8)).toBe(1)
  })

  it('have Latin-1 text: other letters lose their marks or become question marks', () => {
    const bytes = markerChunks([marker('Ümlaut ő 東', 0)])
    expect(bytes.toString('latin1')).toContain('Ümlaut o ?\0')
  })
})

describe('D3: 100 markers are read by other programs', () => {
  const path = writeFile('hundred.wav', HUNDRED)

  it.skipIf(!hasFfprobe)('by FFmpeg: every label, each at its sample', () => {
    const { chapters } = JSON.parse(run('ffprobe', '-v', 'error', '-of', 'json', '-show_chapters', path)) as {
      chapters: { start: number; time_base: string; tags?: { title?: string } }[]
    }
    expect(chapters.map(({ tags }) => tags?.title)).toEqual(HUNDRED.map(({ name }) => name))
    expect(chapters.map(({ start, time_base }) => [start, time_base])).toEqual(
      HUNDRED.map(({ startFrame }) => [startFrame, '1/48000']),
    )
  })

  it.skipIf(!hasExiftool)('by ExifTool: labels, ranges and notes, and the texts and names', () => {
    const lines = run('exiftool', '-a', '-G1', '-s', path).split('\n')
    const values = (tag: string): string[] =>
      lines
        .filter((line) => line.includes(`] ${tag} `) || line.includes(` ${tag}  `))
        .map((line) => line.slice(line.indexOf(':') + 2))
    expect(values('CuePoints')).toHaveLength(1)
    const text = lines.join('\n')
    for (const { name } of HUNDRED) expect(text).toContain(name)
    for (const { note } of HUNDRED.filter((one) => one.note !== '')) expect(text).toContain(note)
    expect(text.match(/LabeledText/g)).toHaveLength(HUNDRED.filter(({ frames }) => frames > 0).length)
    expect(text).toContain('Zoë & <Co>: Night Train')
    expect(text).toContain('Łódź 東京')
    expect(values('Artist')[0]).toBe('Zoë')
    expect(text).toMatch(/TimeReference\s+: 172800000/)
    expect(text).toMatch(/TimestampSamplesSinceMidnightLo\s*: 172800000/i)
  })

  it.skipIf(!hasSndfile || !hasPython)('by libsndfile: every cue, each at its sample with its label', () => {
    const cues = JSON.parse(run('python3', '-c', CUES_BY_LIBSNDFILE, path)) as [
      position: number,
      name: string,
    ][]
    expect(cues).toEqual(HUNDRED.map(({ startFrame, name }) => [startFrame, name]))
    // The log of the same library shows ten.
    expect(run('sndfile-info', path)).toMatch(/Count : 100/)
  })

  it.skipIf(!hasFfprobe)(
    'and the sound is whole: the program reads it, with nothing unread behind it',
    () => {
      const source = openAudioFile(path)
      expect(source.format).toMatchObject({
        frames: 100_001,
        unreadBytes: 0,
        timeReferenceSamples: 172_800_000,
      })
      source.close()
      const { streams } = JSON.parse(run('ffprobe', '-v', 'error', '-of', 'json', '-show_streams', path)) as {
        streams: { duration_ts: number }[]
      }
      expect(streams[0]?.duration_ts).toBe(100_001)
    },
  )
})

describe('the size of a file with chunks behind the sound', () => {
  it('counts them, and the file becomes RF64 where they take it past 4 GiB', () => {
    const facts = { encoding: 'pcm-24', sampleRateHz: 48_000, channels: 2, broadcast: null } as const
    const head = encodeWaveHeader({ ...facts, dataBytes: 600, trailingBytes: 1000 })
    expect(head.readUInt32LE(4)).toBe(head.length - 8 + 600 + 1000)
    const fits = Math.floor((2 ** 32 - 2 - head.length + 8) / 6) * 6
    expect(encodeWaveHeader({ ...facts, dataBytes: fits, trailingBytes: 0 }).toString('latin1', 0, 4)).toBe(
      'RIFF',
    )
    const long = encodeWaveHeader({ ...facts, dataBytes: fits, trailingBytes: 1000 })
    expect(long.toString('latin1', 0, 4)).toBe('RF64')
    expect(Number(long.readBigUInt64LE(20))).toBe(long.length - 8 + fits + 1000)
  })
})
