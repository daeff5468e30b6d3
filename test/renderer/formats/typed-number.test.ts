import { describe, expect, it } from 'vitest'
import { parseTypedNumber, type Unit } from '../../../renderer/formats/typed-number.ts'

describe('a typed number', () => {
  const taken: readonly [string, Unit, number][] = [
    ['-3', 'dB', -3],
    ['-3 dB', 'dB', -3],
    ['\u22123\u202fdB', 'dB', -3],
    ['+2.5db', 'dB', 2.5],
    ['.5', 'dB', 0.5],
    ['1.2 k', 'Hz', 1200],
    ['1,2 kHz', 'Hz', 1200],
    ['12.5kHz', 'Hz', 12_500],
    ['80 Hz', 'Hz', 80],
    ['0.5 s', 'ms', 500],
    ['250 µs', 'ms', 0.25],
    ['1500 ms', 's', 1.5],
    ['50 %', '%', 50],
    ['4:1', ':1', 4],
    ['92 bpm', 'BPM', 92],
    ['30 cm', 'm', 0.3],
    ['-1 dBTP', 'dBTP', -1],
  ]
  it.each(taken)('%s in %s is %d', (text, unit, value) => {
    expect(parseTypedNumber(text, unit)).toBeCloseTo(value, 12)
  })

  const refused: readonly [string, Unit][] = [
    ['', 'dB'],
    ['loud', 'dB'],
    ['3 Hz', 'dB'],
    ['3 dB', 'Hz'],
    ['1.2.3', 'dB'],
    ['--3', 'dB'],
    ['1e400', 'dB'],
    ['NaN', 'dB'],
    ['Infinity', 'ms'],
    ['5 kk', 'Hz'],
  ]
  it.each(refused)('"%s" is no value in %s', (text, unit) => {
    expect(parseTypedNumber(text, unit)).toBeNull()
  })
})
