// Curves from files as they lie about: in the encodings of spreadsheets, and what is no file of text.

import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync, truncateSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { MAX_CURVE_LINES } from '../../../app/contract/text/limits.ts'
import { readCurveFile } from '../../../app/services/mics/curve-file.ts'
import { hasTool } from '../../require-tool.ts'

const folder = mkdtempSync(join(tmpdir(), 'takeloft-curve-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))
const store = (name: string, contents: string | Uint8Array): string => {
  writeFileSync(join(folder, name), contents)
  return join(folder, name)
}

const TEXT = 'Frequenz (Hz);Pegel (dB);Phase (°)\r\n20;-3,5;12\r\n1000;0;0\r\n20000;2,25;-8\r\n'
const little = Buffer.from(TEXT, 'utf16le')
const POINTS = { frequenciesHz: [20, 1000, 20_000], levelsDb: [-3.5, 0, 2.25] }

describe('a curve is read from a file', () => {
  it.each<[string, string | Uint8Array]>([
    ['in UTF-8', TEXT],
    ['in UTF-8 with a byte order mark', `\ufeff${TEXT}`],
    ['in UTF-16 as a spreadsheet writes it', Buffer.concat([Buffer.from([0xff, 0xfe]), little])],
    ['in UTF-16 without a byte order mark', little],
    ['in UTF-16, big-endian', Buffer.from(`\ufeff${TEXT}`, 'utf16le').swap16()],
    ['in UTF-16, big-endian, without a mark', Buffer.from(little).swap16()],
    ['in Latin-1, with a degree sign', Buffer.from(TEXT, 'latin1')],
    ['with the line ends of old Macs', TEXT.replaceAll('\r\n', '\r')],
  ])('%s', (_how, contents) => {
    expect(readCurveFile(store('curve.csv', contents))).toEqual({ points: POINTS, remarks: [] })
  })

  it.skipIf(!hasTool('iconv'))('in the encodings that iconv writes', () => {
    const from = store('utf8.csv', TEXT)
    for (const encoding of ['UTF-16', 'UTF-16LE', 'UTF-16BE', 'WINDOWS-1252', 'ISO-8859-1']) {
      const bytes = execFileSync('iconv', ['-f', 'UTF-8', '-t', encoding, from])
      expect(readCurveFile(store('iconv.csv', bytes)).points, encoding).toEqual(POINTS)
    }
  })
})

describe('no curve is', () => {
  it.each<[string, () => string, RegExp]>([
    ['a folder', () => folder, /is a folder; choose a text of frequencies and levels inside it\.$/],
    ['an empty file', () => store('empty.csv', ''), /is empty \(0 bytes\); choose a text/],
    [
      'a device',
      () => '/dev/zero',
      /\/dev\/zero is not an ordinary file; choose a text of frequencies and levels\.$/,
    ],
    [
      'a workbook',
      () => store('book.xlsx', Uint8Array.from([0x50, 0x4b, 3, 4, 20, 0, 6, 0, 8, 0, 0, 0, 33, 0])),
      /book\.xlsx is not text, so no curve can be read from it; export it as CSV or text\.$/,
    ],
    [
      'a file of 100 MB',
      () => {
        const path = store('large.csv', '20,0\n')
        truncateSync(path, 100_000_000)
        return path
      },
      /large\.csv has 100 MB, and a curve has at most 8 MB; choose a smaller one\.$/,
    ],
    [
      'a file of a million lines',
      () => store('lines.csv', '20,0\n'.repeat(1_000_000)),
      new RegExp(`has 1000001 lines, and a curve has at most ${MAX_CURVE_LINES}; export fewer points`),
    ],
    [
      'a book',
      () => store('book.txt', 'A line of prose that goes on and on.\n'.repeat(10_000)),
      /line \d+: "A line of prose.*" is not a frequency and a level; every line needs two numbers\.$/,
    ],
    ['one point', () => store('one.csv', '20,0\n'), /has 1 point, and a curve needs at least three\.$/],
  ])('%s', (_what, path, sentence) => {
    expect(() => readCurveFile(path())).toThrow(sentence)
  })
})
