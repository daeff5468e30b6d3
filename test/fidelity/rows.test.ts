// The table itself: which reading a row shows, when it falls short, and how it reads.

import { describe, expect, it } from 'vitest'
import { firstNumber, readReferenceTable, toleranceOf } from './reference-table.ts'
import { limitOf, missingRow, rowOf } from './rows.ts'
import { limitText, marginText, tableAsText } from './table-text.ts'

const truePeak = limitOf({ low: -0.4, high: 0.2 }, 'dB', 2, 'a source')

describe('a row', () => {
  it('shows the reading closest to its limit, on either side', () => {
    const row = rowOf('F2', 'peaks', truePeak, [
      { where: 'low', value: -0.3 },
      { where: 'high', value: 0.15 },
      { where: 'middle', value: 0 },
    ])
    expect(row.worst?.where).toBe('high')
    expect(row.margin).toBeCloseTo(0.05, 12)
    expect(row.verdict).toBe('kept')
  })

  it.each([
    ['above', 0.21],
    ['below', -0.41],
    ['no number', Number.NaN],
  ])('falls short when one of many readings is out: %s', (_, value) => {
    const row = rowOf('F2', 'peaks', truePeak, [
      { where: 'good', value: 0 },
      { where: 'bad', value },
      { where: 'good', value: 0 },
    ])
    expect(row.verdict).toBe('falls short')
    expect(row.worst?.where).toBe('bad')
  })

  it('exactly at its limit is kept, and silence is as far under it as can be', () => {
    expect(rowOf('F2', '', truePeak, [{ where: '', value: 0.2 }]).verdict).toBe('kept')
    const silent = rowOf('F6', '', limitOf({ high: -80 }, 'dB', 1, ''), [{ where: '', value: -Infinity }])
    expect(silent.verdict).toBe('kept')
    expect(marginText(silent)).toBe('∞')
  })

  it('without a reading is not measured, and never kept', () => {
    expect(rowOf('F2', '', truePeak, []).verdict).toBe('not measured')
    expect(missingRow('F2', '', truePeak, 'no tool').remark).toBe('no tool')
  })
})

describe('as text', () => {
  it('marks what falls short and says where', () => {
    const rows = [rowOf('F2', 'peaks', truePeak, [{ where: 'at 96 kHz', value: 0.3 }])]
    const text = tableAsText([{ id: 'F2', title: 'True peak', rows, plots: [] }])
    expect(text).toMatch(/✗ {2}F2 {2}peaks +0\.30 dB +−0\.4 to 0\.2 dB +−0\.10 {2}a source {2}at 96 kHz/)
  })

  it('writes limits with their sides', () => {
    expect(limitText(limitOf({ low: -0.1, high: 0.1 }, 'LU', 1, ''))).toBe('±0.1 LU')
    expect(limitText(limitOf({ high: -100 }, 'dB', 1, ''))).toBe('≤ −100 dB')
    expect(limitText(limitOf({ low: 2.5 }, 'x', 1, ''))).toBe('≥ 2.5 x')
  })
})

describe('reference tables', () => {
  it('have the 23 cases of Tech 3341, with commas inside quotes, and name their source', () => {
    const { source, rows } = readReferenceTable('ebu-tech3341-cases.csv')
    expect(source).toContain('EBU Tech 3341 v4')
    expect(rows).toHaveLength(23)
    expect(rows[0].signal).toBe('1000 Hz sine, -23.0 dBFS peak per channel, 20 s')
    expect(firstNumber(rows[18].expected)).toBe(3)
    expect(toleranceOf(rows[18].tolerance_dB_or_LU)).toEqual({ low: -0.4, high: 0.2 })
  })
})
