// The marker table, as the csv module of Python (RFC 4180) reads it.

import { execFileSync } from 'node:child_process'
import { describe, expect, it } from 'vitest'
import { markerTable } from '../../../app/formats/markers/marker-table.ts'
import { hasTool } from '../../require-tool.ts'

const hasPython = hasTool('python3')

const HEAD = ['name', 'kind', 'start_samples', 'length_samples', 'start_hms', 'sample_rate_hz', 'note']

const rowsByPython = (text: string): string[][] =>
  JSON.parse(
    execFileSync(
      'python3',
      [
        '-c',
        'import csv,io,json,sys; t=sys.stdin.buffer.read().decode("utf8"); json.dump(list(csv.reader(io.StringIO(t, newline=""))), sys.stdout)',
      ],
      { input: text },
    ).toString(),
  ) as string[][]

describe('the marker table', () => {
  it('has CR LF, and exact samples (D1)', () => {
    const text = markerTable([{ name: 'Chorus', startFrame: 2_976_001, frames: 48_000, note: '' }], 48_000)
    expect(text).toBe(`${HEAD.join(',')}\r\nChorus,section,2976001,48000,00:01:02.000,48000,\r\n`)
  })

  it.skipIf(!hasPython)('gives back names with commas, quotes, line breaks and any script', () => {
    const names = ['a,b', 'say "hi"', 'two\nlines', '東京', ' spaced ', 'ü;ß\tx']
    const markers = names.map((name) => ({ name, startFrame: 0, frames: 0, note: name }))
    const rows = rowsByPython(markerTable(markers, 44_100))
    expect(rows[0]).toEqual(HEAD)
    expect(rows.slice(1)).toEqual(
      names.map((name) => [name, 'marker', '0', '0', '00:00:00.000', '44100', name]),
    )
  })

  it.skipIf(!hasPython)('has no cell that a spreadsheet runs as a formula (OWASP, CSV injection)', () => {
    const names = ['=1+1', '+1', '-1', '@SUM(A1)', '\t=1', '\r=1', '=HYPERLINK("http://x")']
    const rows = rowsByPython(
      markerTable(
        names.map((name) => ({ name, startFrame: 0, frames: 0, note: name })),
        48_000,
      ),
    )
    for (const cells of rows.slice(1)) {
      expect(cells[0]).toMatch(/^'/)
      expect(cells[6]).toMatch(/^'/)
    }
    expect(rows.slice(1).map(([name]) => name)).toEqual(names.map((name) => `'${name}`))
  })
})
