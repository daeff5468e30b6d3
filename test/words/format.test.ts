import { describe, expect, it } from 'vitest'
import {
  formatDuration,
  formatFile,
  formatFrequency,
  formatGain,
  formatLevel,
  formatNumber,
  formatPan,
  formatRate,
  parsePan,
} from '../../app/words/format.ts'

const plain = (text: string): string => text.replaceAll('\u202f', ' ').replaceAll('\u2212', '-')

describe('numbers as they are read', () => {
  it('have a real minus, and none for a zero', () => {
    expect(formatNumber(-3, 1)).toBe('\u22123.0')
    expect(formatNumber(-0.04, 1)).toBe('0.0')
  })
  it('sign gains both ways but not zero', () => {
    expect(plain(formatGain(2))).toBe('+2.0 dB')
    expect(plain(formatGain(-6))).toBe('-6.0 dB')
    expect(plain(formatGain(0.04))).toBe('0.0 dB')
  })
  it('show a dash where the material has no value', () => {
    expect(formatLevel(null, 'LUFS')).toBe('—')
    expect(plain(formatLevel(-23.04, 'LUFS'))).toBe('-23.0 LUFS')
  })
  it('say kilohertz from 1000 Hz on, with no more places than the number has', () => {
    expect([31.5, 80, 999.5, 1000, 1250, 3150, 12_500, 20_000].map(formatFrequency).map(plain)).toEqual([
      '31.5 Hz',
      '80 Hz',
      '999.5 Hz',
      '1 kHz',
      '1.25 kHz',
      '3.15 kHz',
      '12.5 kHz',
      '20 kHz',
    ])
    expect(plain(formatRate(44_100))).toBe('44.1 kHz')
  })
  it('carry seconds into minutes and hours after rounding', () => {
    expect([0, 59.96, 205.4, 3805.4, -1.5].map(formatDuration).map(plain)).toEqual([
      '0:00.0',
      '1:00.0',
      '3:25.4',
      '1:03:25.4',
      '-0:01.5',
    ])
  })
  it('name a file by container and encoding', () => {
    expect(formatFile({ container: 'wav', encoding: 'pcm-24' })).toBe('WAV 24-bit')
    expect(formatFile({ container: 'rf64', encoding: 'float-32' })).toBe('RF64 32-bit float')
  })
})

describe('pan', () => {
  it('reads back what it shows', () => {
    for (const pan of [-1, -0.7, -0.01, 0, 0.25, 1]) expect(parsePan(formatPan(pan))).toBeCloseTo(pan, 12)
  })
  it.each([
    ['L30', -0.3],
    ['30 L', -0.3],
    ['r', 1],
    ['c', 0],
    ['-45', -0.45],
    ['12.5R', 0.125],
  ] as const)('%s is %d', (text, pan) => {
    expect(parsePan(text)).toBeCloseTo(pan, 12)
  })
  it.each(['', 'left of here', 'L130', '101', 'LR'])('"%s" is no pan', (text) => {
    expect(parsePan(text)).toBeNull()
  })
})
