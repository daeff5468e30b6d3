// Curves as people have them.

import { describe, expect, it } from 'vitest'
import { curveFileName, readCurveText, writeCurveText } from '../../../app/services/mics/curve-text.ts'

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
    expect(remarks).toEqual(['The points were sorted by frequency.', '1 repeated frequency was averaged.'])
  })

  it('of 100,000 points in even steps of Hz, averaged to 96 an octave, and says so', () => {
    // A slope of 6 dB an octave, with a saw of 1 dB from line to line.
    const text = Array.from({ length: 100_000 }, (_, i) => {
      const frequencyHz = 20 + i * 0.2
      return `${frequencyHz.toFixed(1)},${(6 * Math.log2(frequencyHz / 1000) + (i % 2) - 0.5).toFixed(4)}`
    }).join('\n')
    const { points, remarks } = read(text)
    expect(remarks).toEqual([
      expect.stringMatching(/^100000 points were averaged into \d+, 96 to the octave\.$/),
    ])
    expect(points.frequenciesHz.length).toBeLessThan(960)
    points.frequenciesHz.forEach((frequencyHz, i) => {
      const wantedDb = 6 * Math.log2(frequencyHz / 1000)
      if (frequencyHz > 500) expect(Math.abs(points.levelsDb[i] - wantedDb)).toBeLessThan(0.05)
    })
  })
})

describe('a curve is written', () => {
  const curve = {
    id: 1,
    micId: 1,
    name: 'On axis',
    source: 'invented',
    pattern: 'cardioid',
    distanceM: 0.3,
    note: 'two\nlines',
    points: { frequenciesHz: [31.5, 1000, 16_000], levelsDb: [-3.25, 0, 2.0625] },
    picture: null,
  } as const

  it('as CSV that comes back the same', () => {
    const text = writeCurveText({ ...curve, points: structuredClone(curve.points) as never }, 'Mic, one')
    expect(text.split('\n')[0]).toBe('# Mic, one, On axis, invented, cardioid, 0.3 m, two lines')
    expect(read(text)).toEqual({ points: curve.points, remarks: [] })
  })

  it('under a name that every file system takes', () => {
    expect(curveFileName('A/B: "mic"', 'on\taxis?')).toBe('A B mic on axis.csv')
    expect(curveFileName(null, 'Warm')).toBe('Target Warm.csv')
  })
})

describe('a curve is refused with the place', () => {
  it.each([
    ['letters between the numbers', '20,0\n1000,abc\n20000,1', 'line 2'],
    ['one number on a line', '20,0\n1000\n20000,1', 'line 2'],
    ['two points', '20,0\n1000,1', 'at least three'],
    ['nothing', '', '0 points'],
    ['a negative frequency', '-20,0\n1000,1\n20000,1', 'above zero'],
  ])('%s', (_name, text, place) => {
    expect(() => read(text)).toThrow(place)
  })
})
