// Curves as people have them.

import { describe, expect, it } from 'vitest'
import { readCurveText } from '../../app/services/curve-text.ts'

const read = (text: string) => readCurveText(text, 'curve')

describe('a curve is read', () => {
  const wanted = { frequenciesHz: [20, 1000, 20_000], levelsDb: [-3.5, 0, 2.25] }
  it.each([
    ['commas', '20,-3.5\n1000,0\n20000,2.25'],
    ['commas and spaces', '20, -3.5\n1000, 0\n20000, 2.25'],
    ['semicolons and decimal commas', '20;-3,5\n1000;0\n20000;2,25'],
    ['tabs and decimal commas', '20\t-3,5\n1000\t0\n20000\t2,25'],
    ['spaces and decimal commas', '20 -3,5\n1000 0\n20000 2,25'],
    [
      'a header, comments, blank lines and CR LF',
      '# invented\r\nFrequency (Hz),Level (dB)\r\n\r\n20,-3.5\r\n1000,0\r\n20000,2.25\r\n',
    ],
    ['a byte order mark', '\uFEFF20,-3.5\n1000,0\n20000,2.25'],
    ['a third column that is not needed', '20,-3.5,x\n1000,0,y\n20000,2.25,z'],
  ])('from %s', (_name, text) => {
    expect(read(text)).toEqual({ points: wanted, remarks: [] })
  })

  it('in kHz, from the header or from the numbers, and says so', () => {
    for (const text of ['kHz;dB\n0,02;-3,5\n1;0\n20;2,25', '0.02 -3.5\n1 0\n20 2.25']) {
      expect(read(text)).toEqual({ points: wanted, remarks: ['The frequencies were read as kHz.'] })
    }
  })

  it('out of order and with repeats, averaged, and says so', () => {
    const { points, remarks } = read('1000,1\n20,-3.5\n20000,2.25\n1000,-1')
    expect(points).toEqual(wanted)
    expect(remarks).toEqual([
      'The points were put in order of frequency.',
      '1 repeated frequencies were averaged.',
    ])
  })
})

describe('a curve is refused with the place', () => {
  it.each([
    ['letters between the numbers', '20,0\n1000,abc\n20000,1', 'line 2'],
    ['one number on a line', '20,0\n1000\n20000,1', 'line 2'],
    ['two points', '20,0\n1000,1', 'at least three'],
    ['nothing', '', '0 points'],
    ['a negative frequency', '-20,0\n1000,1\n20000,1', 'above zero'],
    [
      'too many points',
      Array.from({ length: 20_001 }, (_, i) => `${100 + i},0`).join('\n'),
      'more than 20000',
    ],
  ])('%s', (_name, text, place) => {
    expect(() => read(text)).toThrow(place)
  })
})
