// Offsets in samples, milliseconds, bars and beats. A beat at 120 BPM lasts half a second by definition
// of beats per minute, which is 24,000 samples at 48 kHz.

import { describe, expect, it } from 'vitest'
import { formatBars } from '../../../../app/words/bars/bar-words.ts'
import {
  formatOffset,
  framesOfMs,
  parseBars,
  parseOffset,
  stepOffset,
  usableUnit,
} from '../../../../renderer/formats/stack/offset-units.ts'

const plain = (text: string): string => text.replaceAll('\u202f', ' ').replaceAll('\u2212', '-')
const base = { sampleRateHz: 48_000, tempoBpm: 120, beatsPerBar: 4 }
const free = { sampleRateHz: 44_100, tempoBpm: null, beatsPerBar: 4 }

describe('bars and beats', () => {
  it.each([
    [0, '1.1.00'],
    [24_000, '1.2.00'],
    [36_000, '1.2.50'],
    [96_000, '2.1.00'],
    [-24_000, '0.4.00'],
    [-96_000, '0.1.00'],
    [-96_240, '-1.4.99'],
  ])('%d samples at 120 BPM and 48 kHz are %s', (frames, text) => {
    expect(plain(formatBars(frames, base))).toBe(text)
    expect(parseBars(formatBars(frames, base), base)).toBe(frames)
  })
  it.each([
    [3, 96_000, '2.2.00'],
    [3, -24_000, '0.3.00'],
    [6, 96_000, '1.5.00'],
    [6, 144_000, '2.1.00'],
    [1, 24_000, '2.1.00'],
  ])('in bars of %d: %d samples are %s', (beatsPerBar, frames, text) => {
    const bars = { ...base, beatsPerBar }
    expect(plain(formatBars(frames, bars))).toBe(text)
    expect(parseBars(formatBars(frames, bars), bars)).toBe(frames)
  })
  it('carry a rounded beat into the next bar', () => {
    expect(formatBars(95_999, base)).toBe('2.1.00')
  })
  it('take a bar or a bar and beat alone', () => {
    expect(parseBars('3', base)).toBe(192_000)
    expect(parseBars('3.2', base)).toBe(216_000)
    expect(parseBars('1.1.5', base)).toBe(12_000)
  })
  it('have no fourth beat in three', () => {
    expect(parseBars('1.3', { ...base, beatsPerBar: 3 })).toBe(48_000)
    expect(parseBars('1.4', { ...base, beatsPerBar: 3 })).toBeNull()
  })
  it.each(['', '1.5', '1.0', '1.1.123', 'two', '1.1.1.1'])('"%s" is no place in the bar', (text) => {
    expect(parseBars(text, base)).toBeNull()
  })
})

describe('offsets', () => {
  it('round to the nearest sample', () => {
    expect(framesOfMs(1, 44_100)).toBe(44)
    expect(framesOfMs(10, 44_100)).toBe(441)
    expect(framesOfMs(-0.5, 48_000)).toBe(-24)
  })
  it('show each unit', () => {
    expect(plain(formatOffset(-441, 'ms', free))).toBe('-10.0 ms')
    expect(plain(formatOffset(-441, 'samples', free))).toBe('-441')
    expect(formatOffset(24_000, 'bars', base)).toBe('1.2.00')
  })
  it('take what is typed in the unit of the field, or in its own', () => {
    expect(parseOffset('10', 'ms', free)).toBe(441)
    expect(parseOffset('10', 'samples', free)).toBe(10)
    expect(parseOffset('10 ms', 'samples', free)).toBe(441)
    expect(parseOffset('441 samples', 'ms', free)).toBe(441)
    expect(parseOffset('0.5 s', 'bars', base)).toBe(24_000)
    expect(parseOffset('2', 'bars', base)).toBe(96_000)
    expect(parseOffset('soon', 'ms', free)).toBeNull()
  })
  it('step by a sample, a millisecond or a hundredth of a beat', () => {
    expect(stepOffset(100, -1, 'samples', base)).toBe(99)
    expect(stepOffset(0, 10, 'ms', base)).toBe(480)
    expect(stepOffset(0, 1, 'bars', base)).toBe(240)
  })
  it('fall back to milliseconds where there is no tempo', () => {
    expect(usableUnit('bars', free)).toBe('ms')
    expect(usableUnit('bars', base)).toBe('bars')
  })
})
