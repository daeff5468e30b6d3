import { describe, expect, it } from 'vitest'
import { cookbookBand } from '../../../app/dsp/filters/cookbook.ts'
import { designBand, designBands } from '../../../app/dsp/filters/matched.ts'
import { analogueBandDb, analogueHighPassDb, butterworthQs } from '../../../app/dsp/filters/prototypes.ts'
import { bandsResponseDb, lowCutResponseDb, sectionsResponseDb } from '../../../app/dsp/filters/response.ts'
import type { Band } from '../../../app/dsp/stages/settings.ts'
import { butterworthHighPassDb } from '../../signals/analogue-prototypes.ts'

// Magnitudes in dB of the analogue prototypes of the W3C Audio EQ Cookbook note (8 June 2021), computed
// independently of this program to four decimals.
const PEAK_10K: Band = { shape: 'bell', frequencyHz: 10000, gainDb: 6, q: 1 }
const SHELF_10K: Band = { shape: 'high-shelf', frequencyHz: 10000, gainDb: 6, q: Math.SQRT1_2 }
const ANALOGUE: [frequencyHz: number, peakDb: number, shelfDb: number][] = [
  [1000, 0.0654, 0.0006],
  [5000, 1.8838, 0.3764],
  [8000, 4.946, 1.7833],
  [10000, 6.0, 3.0],
  [12000, 5.2511, 4.0127],
  [15000, 3.5211, 4.967],
  [18000, 2.3776, 5.4468],
  [20000, 1.8838, 5.6236],
]

/** |H(s)| of the note's prototypes at s = j u, in dB. */
function printedPrototypeDb({ shape, frequencyHz, gainDb, q }: Band, atHz: number): number {
  const A = 10 ** (gainDb / 40)
  const u = atHz / frequencyHz
  // Coefficients of s^2, s and 1 as printed in the note.
  const root = Math.sqrt(A) / q
  const [numerator, denominator] = {
    bell: [
      [1, A / q, 1],
      [1, 1 / (A * q), 1],
    ],
    'low-shelf': [
      [A, A * root, A * A],
      [A, root, 1],
    ],
    'high-shelf': [
      [A * A, A * root, A],
      [1, root, A],
    ],
  }[shape]
  const magnitude = ([s2, s1, s0]: number[]) => Math.hypot(s0 - s2 * u * u, s1 * u)
  return 20 * Math.log10(magnitude(numerator) / magnitude(denominator))
}

function frequenciesTo(toHz: number): number[] {
  const frequenciesHz: number[] = []
  for (let f = 20; f <= toHz; f *= 1.03) frequenciesHz.push(f)
  return [...frequenciesHz, toHz]
}

function greatestErrorDb(band: Band, sampleRateHz: number, toHz: number): number {
  const frequenciesHz = frequenciesTo(toHz)
  const levelsDb = sectionsResponseDb([designBand(band, sampleRateHz)], frequenciesHz, sampleRateHz)
  return Math.max(...frequenciesHz.map((f, i) => Math.abs(levelsDb[i] - printedPrototypeDb(band, f))))
}

const GAINS_DB = [-12, -6, -1, 3, 12]
const BELL_QS = [0.4, 0.7, 1, 2, 4, 8]
const SHELF_QS = [0.4, Math.SQRT1_2, 1]

function bandsAt(frequencyHz: number): Band[] {
  const of = (shape: Band['shape'], qs: number[]) =>
    qs.flatMap((q) => GAINS_DB.map((gainDb) => ({ shape, frequencyHz, gainDb, q })))
  return [...of('bell', BELL_QS), ...of('low-shelf', SHELF_QS), ...of('high-shelf', SHELF_QS)]
}

describe('analogue prototypes', () => {
  it('agree with the table to four decimals', () => {
    for (const [frequencyHz, peakDb, shelfDb] of ANALOGUE) {
      expect(Math.abs(analogueBandDb(PEAK_10K, frequencyHz) - peakDb)).toBeLessThan(6e-5)
      expect(Math.abs(analogueBandDb(SHELF_10K, frequencyHz) - shelfDb)).toBeLessThan(6e-5)
    }
  })

  it('agree with H(s) as printed in the note for every shape', () => {
    for (const band of bandsAt(3000)) {
      for (const f of frequenciesTo(20000)) {
        expect(Math.abs(analogueBandDb(band, f) - printedPrototypeDb(band, f))).toBeLessThan(1e-9)
      }
    }
  })

  it('are Butterworth for low-cuts: 10 log10(1 + (fc/f)^2n)', () => {
    for (const slopeDbPerOctave of [12, 24] as const) {
      for (const f of [20, 60, 80, 100, 500]) {
        const levelDb = butterworthQs(slopeDbPerOctave).reduce(
          (sum, q) => sum + analogueHighPassDb(80, q, f),
          0,
        )
        expect(Math.abs(levelDb - butterworthHighPassDb(80, slopeDbPerOctave / 6, f))).toBeLessThan(1e-9)
      }
    }
  })
})

describe('matched sections against the analogue table at 48 kHz', () => {
  it('stay within 0.3 dB to 16 kHz and 0.5 dB to 20 kHz, where the bilinear design does not', () => {
    let bilinearDb = 0
    for (const [frequencyHz, peakDb, shelfDb] of ANALOGUE) {
      const limitDb = frequencyHz <= 16000 ? 0.3 : 0.5
      const errorDb = (band: Band, wantedDb: number) =>
        Math.abs(bandsResponseDb([band], [frequencyHz], 48000)[0] - wantedDb)
      expect(errorDb(PEAK_10K, peakDb)).toBeLessThan(limitDb)
      expect(errorDb(SHELF_10K, shelfDb)).toBeLessThan(limitDb)
      const bilinear = sectionsResponseDb([cookbookBand(PEAK_10K, 48000)], [frequencyHz], 48000)[0]
      bilinearDb = Math.max(bilinearDb, Math.abs(bilinear - peakDb))
    }
    expect(bilinearDb).toBeGreaterThan(1.5)
  })
})

describe.each([44100, 48000, 88200, 96000])(
  'figure F3 at %i Hz, Q 0.4 to 8, gain to 12 dB',
  (sampleRateHz) => {
    it('bells and shelves up to 8 kHz: 0.1 dB to 16 kHz, 0.5 dB to 20 kHz', () => {
      let to16Db = 0
      let to20Db = 0
      for (const band of [50, 200, 1000, 3150, 5000, 8000].flatMap(bandsAt)) {
        to16Db = Math.max(to16Db, greatestErrorDb(band, sampleRateHz, 16000))
        to20Db = Math.max(to20Db, greatestErrorDb(band, sampleRateHz, 20000))
      }
      console.info(`F3 to 8 kHz at ${sampleRateHz} Hz: ${to16Db.toFixed(3)} and ${to20Db.toFixed(3)} dB`)
      expect(to16Db).toBeLessThan(0.1)
      expect(to20Db).toBeLessThan(0.5)
    })

    it('bells and shelves up to 12 kHz: 0.3 dB to 16 kHz, 0.5 dB to 20 kHz', () => {
      let to16Db = 0
      let to20Db = 0
      for (const band of [9000, 10000, 12000].flatMap(bandsAt)) {
        to16Db = Math.max(to16Db, greatestErrorDb(band, sampleRateHz, 16000))
        to20Db = Math.max(to20Db, greatestErrorDb(band, sampleRateHz, 20000))
      }
      console.info(`F3 to 12 kHz at ${sampleRateHz} Hz: ${to16Db.toFixed(3)} and ${to20Db.toFixed(3)} dB`)
      expect(to16Db).toBeLessThan(0.3)
      expect(to20Db).toBeLessThan(0.5)
    })

    it('low-cuts of 12 and 24 dB per octave to 2 kHz: 0.1 dB to 20 kHz', () => {
      const frequenciesHz = frequenciesTo(20000)
      for (const frequencyHz of [20, 80, 200, 1000, 2000]) {
        for (const slopeDbPerOctave of [12, 24] as const) {
          const settings = { frequencyHz, slopeDbPerOctave }
          const levelsDb = lowCutResponseDb(settings, frequenciesHz, sampleRateHz)
          frequenciesHz.forEach((f, i) => {
            expect(
              Math.abs(
                levelsDb[i] - butterworthHighPassDb(settings.frequencyHz, settings.slopeDbPerOctave / 6, f),
              ),
            ).toBeLessThan(0.1)
          })
        }
      }
    })
  },
)

describe('matched sections at any frequency', () => {
  it('stay within 0.5 dB up to 0.907 of half the sample rate, for bands below and beyond that frequency', () => {
    for (const sampleRateHz of [8000, 16000, 44100]) {
      for (const share of [0.3, 0.42, 0.5, 0.8, 2]) {
        for (const band of bandsAt(share * sampleRateHz)) {
          expect(greatestErrorDb(band, sampleRateHz, Math.min(20000, 0.4535 * sampleRateHz))).toBeLessThan(
            0.5,
          )
        }
      }
    }
  })

  it('low-cut of 400 Hz at a rate of 8 kHz: 0.1 dB up to 0.907 of half the rate', () => {
    const settings = { frequencyHz: 400, slopeDbPerOctave: 24 } as const
    const frequenciesHz = frequenciesTo(3628)
    const levelsDb = lowCutResponseDb(settings, frequenciesHz, 8000)
    frequenciesHz.forEach((f, i) => {
      expect(
        Math.abs(levelsDb[i] - butterworthHighPassDb(settings.frequencyHz, settings.slopeDbPerOctave / 6, f)),
      ).toBeLessThan(0.1)
    })
  })

  it('change gradually while the frequency is swept', () => {
    const frequenciesHz = frequenciesTo(20000)
    let excessDb = 0
    let band: Band = { shape: 'bell', frequencyHz: 60, gainDb: 9, q: 2 }
    let levelsDb = bandsResponseDb([band], frequenciesHz, 44100)
    while (band.frequencyHz < 20000) {
      const nextBand = { ...band, frequencyHz: band.frequencyHz * 1.002 }
      const nextLevelsDb = bandsResponseDb([nextBand], frequenciesHz, 44100)
      for (let i = 0; i < frequenciesHz.length; i++) {
        const changeDb = nextLevelsDb[i] - levelsDb[i]
        const expectedDb =
          printedPrototypeDb(nextBand, frequenciesHz[i]) - printedPrototypeDb(band, frequenciesHz[i])
        excessDb = Math.max(excessDb, Math.abs(changeDb - expectedDb))
      }
      band = nextBand
      levelsDb = nextLevelsDb
    }
    console.info(`sweep in steps of 0.2 %: ${excessDb.toFixed(4)} dB more change than in the prototype`)
    expect(excessDb).toBeLessThan(0.05)
  })

  it('are omitted at 0 dB', () => {
    expect(designBands([{ shape: 'bell', frequencyHz: 1000, gainDb: 0, q: 1 }], 48000)).toEqual([])
  })
})
