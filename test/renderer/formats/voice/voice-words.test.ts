// Notes after ISO 16:1975 (A4 = 440 Hz) in equal temperament, confidence, and settings in words.

import { describe, expect, it } from 'vitest'
import {
  asRead,
  confidenceWords,
  noteOf,
  pitchWords,
  settingLines,
} from '../../../../renderer/formats/voice/voice-words.ts'

describe('notes', () => {
  // The usual table of equal temperament on A4 = 440 Hz, as printed in acoustics handbooks.
  it.each([
    [440, 'A4'],
    [261.63, 'C4'],
    [246.94, 'B3'],
    [82.41, 'E2'],
    [466.16, 'A♯4'],
    [1046.5, 'C6'],
    [27.5, 'A0'],
  ])('%d Hz is %s', (frequencyHz, note) => {
    expect(noteOf(frequencyHz)).toBe(note)
  })

  it('changes a quarter tone away: half way from A4 to A♯4 is 452.89 Hz', () => {
    expect(noteOf(452.8)).toBe('A4')
    expect(noteOf(453)).toBe('A♯4')
  })

  it('stands behind its frequency in whole hertz', () => {
    expect(pitchWords(97.6)).toBe('98\u202fHz (G2)')
  })
})

it('says how sure a proposal is in a word and in percent', () => {
  expect(confidenceWords(0.2)).toBe('low confidence (20\u202f%)')
  expect(confidenceWords(0.4)).toBe('medium confidence (40\u202f%)')
  expect(confidenceWords(1)).toBe('high confidence (100\u202f%)')
})

it('gives each band of a tone a line', () => {
  const lines = settingLines({
    kind: 'tone',
    on: true,
    settings: {
      bands: [
        { shape: 'bell', frequencyHz: 315, gainDb: -2.1, q: 1 },
        { shape: 'high-shelf', frequencyHz: 10_000, gainDb: 1.5, q: Math.SQRT1_2 },
      ],
    },
  })
  expect(lines).toEqual([
    'Bell −2.1\u202fdB at 315\u202fHz, Q\u202f1.0',
    'High shelf +1.5\u202fdB at 10\u202fkHz, Q\u202f0.7',
  ])
})

it('prints a real minus before numbers, leaves hyphens alone, and keeps numbers and units on one line', () => {
  expect(asRead('The low-cut takes -7 dB (-60 dBFS), 95-100 %.')).toBe(
    'The low-cut takes −7\u202fdB (−60\u202fdBFS), 95-100\u202f%.',
  )
  expect(asRead('11 sibilants of 3 s at 6.8 kHz, 12 ms')).toBe(
    '11 sibilants of 3\u202fs at 6.8\u202fkHz, 12\u202fms',
  )
})
