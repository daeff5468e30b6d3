// Markers of sound files, compared with what ffprobe, exiftool and sndfile-info read from the same files.

import { execFileSync } from 'node:child_process'
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import type { FileMarker } from '../../../app/audio/markers/file-marker.ts'
import { readFileMarkers } from '../../../app/audio/markers/file-markers.ts'
import { temporaryFolder } from '../../db/temporary-folder.ts'
import { hasTool } from '../../require-tool.ts'

const chunk = (id: string, contents: Buffer, size = contents.length): Buffer => {
  const head = Buffer.alloc(8)
  head.write(id, 0, 'latin1')
  head.writeUInt32LE(size, 4)
  return Buffer.concat([head, contents, Buffer.alloc(contents.length % 2)])
}
const u32 = (...values: number[]): Buffer => {
  const bytes = Buffer.alloc(4 * values.length)
  for (const [i, value] of values.entries()) bytes.writeUInt32LE(value, 4 * i)
  return bytes
}
const latin = (text: string): Buffer => Buffer.from(`${text}\0`, 'latin1')

/** Mono, 48 kHz, 16 bits, 4 s of silence, then these chunks. */
function wave(...more: Buffer[]): string {
  const format = Buffer.from('0100010080bb000000770100020010 00'.replace(' ', ''), 'hex')
  const body = Buffer.concat([chunk('fmt ', format), chunk('data', Buffer.alloc(2 * 4 * 48_000)), ...more])
  const path = join(temporaryFolder(), 'marked.wav')
  writeFileSync(path, Buffer.concat([Buffer.from('RIFF'), u32(4 + body.length), Buffer.from('WAVE'), body]))
  return path
}

/** id, frame */
const cue = (...points: (readonly [number, number])[]): Buffer =>
  chunk(
    'cue ',
    Buffer.concat([
      u32(points.length),
      ...points.map(([id, frame]) => Buffer.concat([u32(id, frame), Buffer.from('data'), u32(0, 0, frame)])),
    ]),
  )
const adtl = (...parts: Buffer[]): Buffer => chunk('LIST', Buffer.concat([Buffer.from('adtl'), ...parts]))
const labl = (id: number, text: Buffer): Buffer => chunk('labl', Buffer.concat([u32(id), text]))

const XML = `<?xml version="1.0" encoding="UTF-8"?><BWFXML><SYNC_POINT_LIST><SYNC_POINT_COUNT>2</SYNC_POINT_COUNT>
<SYNC_POINT><SYNC_POINT_TYPE>RELATIVE</SYNC_POINT_TYPE><SYNC_POINT_COMMENT>Hook &amp; tail</SYNC_POINT_COMMENT>
<SYNC_POINT_LOW>96000</SYNC_POINT_LOW><SYNC_POINT_HIGH>0</SYNC_POINT_HIGH>
<SYNC_POINT_EVENT_DURATION>4800</SYNC_POINT_EVENT_DURATION></SYNC_POINT>
<SYNC_POINT><SYNC_POINT_TYPE>ABSOLUTE</SYNC_POINT_TYPE><SYNC_POINT_LOW>1</SYNC_POINT_LOW></SYNC_POINT>
</SYNC_POINT_LIST></BWFXML>`

const place = ({ name, frame }: FileMarker) => [name, frame]

describe('markers of a WAVE file', () => {
  const labelled = () =>
    wave(
      cue([1, 48_000], [2, 96_000]),
      adtl(
        labl(1, latin('Verse 1')),
        labl(2, latin('Chorus')),
        chunk('ltxt', Buffer.concat([u32(2, 48_000), Buffer.from('rgn '), Buffer.alloc(8)])),
        chunk('note', Buffer.concat([u32(1), latin('sung twice')])),
      ),
    )

  it('have names, lengths and notes', () => {
    expect(readFileMarkers(labelled())).toEqual([
      { name: 'Verse 1', note: 'sung twice', frame: 48_000, frames: 0 },
      { name: 'Chorus', note: '', frame: 96_000, frames: 48_000 },
    ])
  })

  it.skipIf(!hasTool('ffprobe'))('are those that ffprobe shows as chapters', () => {
    const path = labelled()
    const { chapters } = JSON.parse(
      execFileSync('ffprobe', ['-v', 'error', '-show_chapters', '-of', 'json', path]).toString(),
    ) as { chapters: { start_time: string; tags: { title: string } }[] }
    expect(chapters.length).toBe(2)
    expect(readFileMarkers(path).map(place)).toEqual(
      chapters.map((one) => [one.tags.title, Math.round(Number(one.start_time) * 48_000)]),
    )
  })

  it('may be Latin-1 or UTF-8, and lack a pad byte', () => {
    const odd = Buffer.concat([
      Buffer.from('labl'),
      u32(4 + 5, 1),
      latin('Stro').subarray(0, 4),
      Buffer.from('p'),
    ])
    const path = wave(
      cue([1, 10], [2, 20], [3, 30]),
      adtl(odd, labl(2, latin('Früh')), labl(3, Buffer.from('Früh 夜\0'))),
    )
    expect(readFileMarkers(path).map(place)).toEqual([
      ['Strop', 10],
      ['Früh', 20],
      ['Früh 夜', 30],
    ])
  })

  it('are also those of iXML that count from the start', () => {
    expect(readFileMarkers(wave(chunk('iXML', Buffer.from(XML))))).toEqual([
      { name: 'Hook & tail', note: '', frame: 96_000, frames: 4800 },
    ])
  })

  it.skipIf(!hasTool('exiftool'))('of iXML are named as by exiftool', () => {
    const path = wave(chunk('iXML', Buffer.from(XML)))
    const read = execFileSync('exiftool', ['-a', '-s', '-G1', path]).toString()
    expect(read).toContain('Hook & tail')
    expect(read).toContain('96000')
  })

  it('are never a reason to fail: counts and sizes that lie, and documents that do not end', () => {
    const lying = Buffer.concat([u32(0xffffffff), u32(1, 5), Buffer.from('data'), u32(0, 0, 5)])
    expect(readFileMarkers(wave(chunk('cue ', lying))).map(place)).toEqual([['', 5]])
    expect(readFileMarkers(wave(chunk('cue ', Buffer.alloc(2))))).toEqual([])
    const cut = Buffer.concat([Buffer.from('labl'), u32(0xfffffff0, 1), Buffer.from('Ver')])
    expect(readFileMarkers(wave(cue([1, 5]), adtl(cut))).map(place)).toEqual([['Ver', 5]])
    for (const text of ['<SYNC_POINT>', '<SYNC_POINT>'.repeat(50_000), '<SYNC_POINT></SYNC_POINT>'])
      expect(readFileMarkers(wave(chunk('iXML', Buffer.from(text))))).toEqual([])
  })
})

describe('markers of an AIFF file', () => {
  /** 'Verse' has an odd length and needs no pad, 'Hook' an even one. */
  function aiff(): string {
    const big = (id: string, contents: Buffer): Buffer => {
      const head = Buffer.alloc(8)
      head.write(id, 0, 'latin1')
      head.writeUInt32BE(contents.length, 4)
      return Buffer.concat([head, contents, Buffer.alloc(contents.length % 2)])
    }
    const frames = Buffer.alloc(4)
    frames.writeUInt32BE(48_000)
    const common = Buffer.concat([
      Buffer.from([0, 1]),
      frames,
      Buffer.from([0, 16]),
      Buffer.from('400ebb80000000000000', 'hex'),
    ])
    const marks = Buffer.from([
      ...[0, 2],
      ...[0, 1, 0, 0, 0x12, 0xc0, 5, ...Buffer.from('Verse')],
      ...[0, 2, 0, 0, 0x5d, 0xc0, 4, ...Buffer.from('Hook'), 0],
    ])
    const body = Buffer.concat([
      Buffer.from('AIFF'),
      big('COMM', common),
      big('MARK', marks),
      big('SSND', Buffer.alloc(8 + 2 * 48_000)),
    ])
    const path = join(temporaryFolder(), 'marked.aiff')
    writeFileSync(path, big('FORM', body))
    return path
  }

  it('have names and places', () => {
    expect(readFileMarkers(aiff()).map(place)).toEqual([
      ['Verse', 4800],
      ['Hook', 24_000],
    ])
  })

  it.skipIf(!hasTool('sndfile-info'))('are those that sndfile-info lists', () => {
    const path = aiff()
    const read = execFileSync('sndfile-info', [path]).toString()
    for (const { name, frame } of readFileMarkers(path)) {
      expect(read).toContain(String(frame))
      expect(read).toContain(name)
    }
  })
})
