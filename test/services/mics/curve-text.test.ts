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

// Where commas stand between columns, digits after a comma may be decimals (ISO 80000-1 allows both signs).
describe('commas between columns', () => {
  const CLEAR = { frequenciesHz: [20, 1000, 20_000], levelsDb: [-3, 2, 0] }
  it.each([
    ['two columns of whole numbers', '20,-3\n1000,2\n20000,0'],
    ['three, the third with a sign in one line', '20,-3,90\n1000,2,-5\n20000,0,10'],
    ['three that the header names', 'Frequency,Level,Phase\n20,-3,90\n1000,2,5\n20000,0,10'],
    ['four that the header names', 'f,dB,deg,coherence\n20,-3,90,1\n1000,2,5,1\n20000,0,10,1'],
    ['four with signs in the third and the fourth', '20,-3,90,-1\n1000,2,-5,1\n20000,0,10,1'],
    ['points in one number of the file', '20,-3,90,1\n1000,2,5,1\n20000,0.0,10,1'],
    ['quotes around decimal commas', '"20,0","-3,0"\n"1000,0","2,0"\n"20000,0","0,0"'],
    ['text in the third column', '20,-3,a\n1000,2,b\n20000,0'],
  ])('%s: every comma separates', (_what, text) => {
    expect(read(text)).toEqual({ points: CLEAR, remarks: [] })
  })

  it('three whole numbers in a line are read as columns, with a word about decimal commas', () => {
    expect(read('20,-3,5\n1000,2,5\n20000,0,0')).toEqual({
      points: CLEAR,
      remarks: [
        'Only the first two columns were used; if the numbers have decimal commas, put semicolons or tabs between the columns and read the curve again.',
      ],
    })
  })

  it.each([
    ['20,0,-3,5 in every line', '20,0,-3,5\n1000,0,2,5\n20000,0,-4,0', 'line 1: "20,0,-3,5"'],
    ['20,00,-3,50 in every line', '20,00,-3,50\n1000,00,2,50\n20000,00,-4,00', 'line 1: "20,00,-3,50"'],
    ['spaces behind the separators', '20,0, -3,5\n1000,0, 2,5\n20000,0, -4,0', 'line 1: "20,0, -3,5"'],
    ['six fields', '20,0,-3,5,9,1\n1000,0,2,5,9,1\n20000,0,-4,0,9,1', 'line 1'],
    ['decimals only where they are needed', '20,0\n1000,2,5\n20000,-4', 'line 2: "1000,2,5"'],
    ['a header of two columns', 'Frequency,Level\n20,0,-3,5\n1000,0,2,5\n20000,0,-4,0', 'line 2'],
    ['a header of two columns and three fields', 'Frequency,Level\n20,-3,5\n1000,2,5\n20000,0,0', 'line 2'],
  ])('%s: refused, because it can be read in two ways', (_what, text, place) => {
    expect(() => read(text)).toThrow(place)
    expect(() => read(text)).toThrow(
      /can be read in two ways.*; put semicolons or tabs between the columns, or write the numbers with points\.$/,
    )
  })
})

describe('the header says which columns are read', () => {
  const points = { frequenciesHz: [20, 1000, 20_000], levelsDb: [0, 5, 1] }
  it.each([
    ['the phase before the level', 'Freq,Phase,dB\n20,90,0\n1000,80,5\n20000,10,1'],
    ['with semicolons', 'Freq;Phase;Pegel\n20;90,5;0\n1000;80;5\n20000;10;1,0'],
    ['an index before them', 'nr,frequency,level\n1,20,0\n2,1000,5\n3,20000,1'],
    ['a name before them', 'point,frequency,level\na,20,0\nb,1000,5\nc,20000,1'],
    ['the level first', 'Level (dB),Frequency (Hz)\n0,20\n5,1000\n1,20000'],
    ['between spaces', '* Freq(Hz) Phase(degrees) SPL(dB)\n20 90 0\n1000 80 5\n20000 10 1'],
    ['units apart', 'Phase (deg) Frequency (Hz) Level (dB)\n90 20 0\n80 1000 5\n10 20000 1'],
    ['as a comment', '# index, frequency, magnitude\n1, 20, 0\n2, 1000, 5\n3, 20000, 1'],
    ['a sentence behind the names', 'nr,freq,level\nFrequency step 1/96\n1,20,0\n2,1000,5\n3,20000,1'],
    ['units in a line of their own', 'Freq,Phase,Mag\nHz,deg,dB\n20,90,0\n1000,80,5\n20000,10,1'],
    ['with quotes', '"Phase, degrees","Frequency","SPL"\n"90","20","0"\n80,1000,5\n"10",20000,1'],
    ['the response by its name', 'Coherence,Frequency,Frequency response\n1,20,0\n1,1000,5\n0,20000,1'],
  ])('%s', (_what, text) => {
    expect(read(text)).toEqual({ points, remarks: [] })
  })

  it.each([
    [
      'Frequency,Left,Right\n20,0,9\n1000,5,9\n20000,1,9',
      '2 columns may be the level; column 2 ("Left") was read.',
    ],
    [
      'nr,Frequency,dB SPL 90 deg,dB SPL 0 deg\n1,20,0,9\n2,1000,5,9\n3,20000,1,9',
      '2 columns may be the level; column 3 ("dB SPL 90 deg") was read.',
    ],
    [
      'Phase Frequency Sound level\n20 0\n1000 5\n20000 1',
      'The names in the header do not fit the columns, so the first column was read as the frequency and the second as the level.',
    ],
  ])('and what it leaves open is said: %s', (text, remark) => {
    expect(read(text)).toEqual({ points, remarks: [remark] })
  })

  it('of its own column in kHz, whatever the others say', () => {
    const text = 'Frequency (Hz),Level re 1 kHz (dB)\n20,0\n1000,5\n20000,1'
    expect(read(text)).toEqual({ points, remarks: [] })
    expect(read(`Normalised at 1 kHz\n20,0\n1000,5\n20000,1`)).toEqual({ points, remarks: [] })
  })

  it.each([
    [
      'Frequency,Phase\n20,90\n1000,80\n20000,10',
      'curve has no column for the level: its header names Frequency, Phase; name that column "Level (dB)".',
    ],
    [
      'Index,Left,Right\n1,0,9\n2,5,9\n3,1,9',
      'curve has no column for the frequency: its header names Index, Left, Right; name that column "Frequency (Hz)".',
    ],
    ['Frequency,Phase,Level\n20,90\n1000,80\n20000,10', 'line 2: "20,90" is not a frequency and a level'],
    [
      'nr frequency level\n1 20 0\n2 1000 5 x\n3 20000 1',
      'line 3: "2 1000 5 x" has other columns than the first point; give every line the same columns.',
    ],
  ])('or the curve is refused: %s', (text, sentence) => {
    expect(() => read(text)).toThrow(sentence)
  })
})

describe('a line before the points', () => {
  const points = { frequenciesHz: [100, 1000, 20_000], levelsDb: [1, 5, 0] }
  const POINTS = '100,1\n1000,5\n20000,0'
  it.each([
    'Invented microphone',
    'Measured 2026-03-01, on axis',
    '* Delay 1.5 ms',
    'Smoothing: 1/48 octave',
    'Frequency step 1/96 octave',
    'Level\nFrequency step 1/96',
  ])('is a heading: %s', (line) => {
    expect(read(`${line}\n${POINTS}`)).toEqual({ points, remarks: [] })
  })

  it('with a word and a number is taken as a heading, and that is said', () => {
    expect(read(`Points,3\n${POINTS}`)).toEqual({
      points,
      remarks: ['Line 1 ("Points,3") was taken as text, not as a point.'],
    })
    expect(read(`Points,3\nSmoothing,0\n${POINTS}`).remarks).toEqual([
      'Line 1 ("Points,3") and 1 more before the points were taken as text, not as a point.',
    ])
  })

  it.each(['x20,12', '- 20,12', '\u001b[31m20,0', '\u0662\u0660,0', '"20,0', 'f=20 12'])(
    'with digits where the points have them is not dropped: %s',
    (line) => {
      expect(() => read(`${line}\n${POINTS}`)).toThrow(
        `line 1: "${line}" is not a frequency and a level; every line needs two numbers.`,
      )
    },
  )

  it('behind the names of the columns is meant as a point', () => {
    expect(() => read(`Frequency,Level\nDC,12\n${POINTS}`)).toThrow('line 2: "DC,12" is not a frequency')
  })
})

describe('numbers', () => {
  const points = { frequenciesHz: [20, 1000, 20_000], levelsDb: [0, 5, 1] }
  // RFC 4180, section 2.5 to 2.7.
  it.each([
    '"20","0"\n"1000","5"\n"20000","1"',
    '"20" ,0\n1000, "5"\n"20000";"1"',
    '20,"0,0"\n1000,"5"\n20000,1',
  ])('are read out of quotes: %j', (text) => {
    expect(read(text)).toEqual({ points, remarks: [] })
  })

  it.each(['20;0\n1.000;5\n10.000;3\n20.000;1', '"20","0"\n"1,000","5"\n"10,000","3"'])(
    'with a separator of thousands are refused: %j',
    (text) => {
      expect(() => read(text)).toThrow(/line 2: ".*" seems to have a separator of thousands/)
    },
  )

  it.each(['20\u00a0000,0', '20\u202f000,0'])('with a space inside are refused: %j', (text) => {
    expect(() => read(`${text}\n1000,5\n100,1`)).toThrow('line 1')
  })

  it.each([
    [
      '20,0\n1e999,1\n20000,0',
      'curve, line 2: "1e999,1" has a frequency outside 1 Hz to 200 kHz; correct it, or leave the line out.',
    ],
    [
      '20,0\n0.5,1\n20000,0',
      'curve, line 2: "0.5,1" has a frequency outside 1 Hz to 200 kHz; correct it, or leave the line out.',
    ],
    [
      '20,0\n1000,1e999\n20000,0',
      'curve, line 2: "1000,1e999" has a level outside -120 dB to 120 dB; export the curve with its levels in dB.',
    ],
    [
      '20,0\n1000,-1e999\n20000,0',
      'curve, line 2: "1000,-1e999" has a level outside -120 dB to 120 dB; export the curve with its levels in dB.',
    ],
    [
      '20,0\n1000,121\n20000,0',
      'curve, line 2: "1000,121" has a level outside -120 dB to 120 dB; export the curve with its levels in dB.',
    ],
    ['1000,0\n1000,1\n1000,2', 'curve has 1 frequency, and a curve needs at least three.'],
  ])('that cannot be used are refused in plain words: %j', (text, sentence) => {
    expect(() => read(text)).toThrow(sentence)
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
