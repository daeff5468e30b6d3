import { describe, expect, it } from 'vitest'
import { addBandLevels } from '../../../app/dsp/correction/band-slopes.ts'
import { type CorrectionRequest, fitCorrection } from '../../../app/dsp/correction/correction.ts'
import { type Curve, octaveGridHz, resampleCurve } from '../../../app/dsp/correction/curve.ts'
import { analogueBandDb } from '../../../app/dsp/filters/prototypes.ts'
import { bandsResponseDb } from '../../../app/dsp/filters/response.ts'
import type { Band } from '../../../app/dsp/stages/settings.ts'
import { cutTo, inventedMicCurve, wildCurve } from '../../signals/mic-curves.ts'

const SETTINGS: Omit<CorrectionRequest, 'source' | 'target'> = {
  amountPercent: 100,
  maxBoostDb: 4,
  maxCutDb: 9,
  fromHz: 20,
  toHz: 20000,
  maxBands: 8,
  sampleRateHz: 48000,
}

const PAIRS = Array.from({ length: 24 }, (_, i) => [2 * i + 1, 2 * i + 2] as const)

const flat: Curve = { frequenciesHz: [20, 20000], levelsDb: [0, 0] }
const bandsCurve = (bands: readonly Band[]): Curve => {
  const frequenciesHz = octaveGridHz(20, 20000, 24)
  return {
    frequenciesHz,
    levelsDb: frequenciesHz.map((f) => bands.reduce((sum, band) => sum + analogueBandDb(band, f), 0)),
  }
}
const levelAt = (curve: Curve, frequencyHz: number) => resampleCurve(curve, [frequencyHz]).levelsDb[0]
const rms = (values: number[]) => Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length)
const ordered = (values: number[]) => values.toSorted((a, b) => a - b)

describe('figure F11 on 24 pairs of invented curves', () => {
  it('smooth curves: the prototypes of the bands are within 0.5 dB RMS of target - source, 50 Hz to 16 kHz', () => {
    const frequenciesHz = octaveGridHz(50, 16000, 12)
    const errorsDb = PAIRS.map(([a, b]) => {
      const source = inventedMicCurve(a, 0)
      const target = inventedMicCurve(b, 0)
      const { bands } = fitCorrection({ ...SETTINGS, maxBoostDb: 15, maxCutDb: 15, source, target })
      // The difference from the curves themselves; its level is free, so their mean is taken out.
      const differenceDb = frequenciesHz.map((f) => levelAt(target, f) - levelAt(source, f))
      const reached = frequenciesHz.map((f) => bands.reduce((sum, band) => sum + analogueBandDb(band, f), 0))
      const errors = differenceDb.map((levelDb, i) => reached[i] - levelDb)
      const mean = errors.reduce((sum, error) => sum + error, 0) / errors.length
      return rms(errors.map((error) => error - mean))
    })
    console.info(
      `F11 smooth: median ${ordered(errorsDb)[12].toFixed(3)}, worst ${Math.max(...errorsDb).toFixed(3)} dB RMS`,
    )
    expect(Math.max(...errorsDb)).toBeLessThan(0.5)
  })

  it('curves with ripple: 0.3 dB RMS and 1 dB at most of the target curve, boost within its bound', () => {
    const fits = PAIRS.map(([a, b]) =>
      fitCorrection({ ...SETTINGS, source: inventedMicCurve(a), target: inventedMicCurve(b) }),
    )
    const rmsDb = fits.map((fit) => fit.rmsErrorDb)
    const maxDb = fits.map((fit) => fit.maxErrorDb)
    const boostDb = Math.max(...fits.flatMap((fit) => fit.fit.levelsDb))
    console.info(
      `F11 ripple: RMS median ${ordered(rmsDb)[12].toFixed(3)}, worst ${Math.max(...rmsDb).toFixed(3)}; ` +
        `greatest median ${ordered(maxDb)[12].toFixed(2)}, worst ${Math.max(...maxDb).toFixed(2)}; ` +
        `boost ${boostDb.toFixed(2)} dB`,
    )
    expect(Math.max(...rmsDb)).toBeLessThan(0.3)
    expect(Math.max(...maxDb)).toBeLessThan(1)
    expect(boostDb).toBeLessThan(SETTINGS.maxBoostDb + 0.1)
    for (const { bands } of fits) expect(bands.length).toBeLessThanOrEqual(SETTINGS.maxBands)
  })

  it('curves with ripple, cut by 3 dB at most: what the bound costs stays within 0.35 dB RMS', () => {
    const rmsDb = PAIRS.map(
      ([a, b]) =>
        fitCorrection({
          ...SETTINGS,
          maxCutDb: 3,
          source: inventedMicCurve(a),
          target: inventedMicCurve(b),
        }).rmsErrorDb,
    )
    // Without fits that are repeated with lower bounds the worst is 1.38 dB.
    expect(Math.max(...rmsDb)).toBeLessThan(0.35)
  })

  it('there and back again adds up to nothing within 0.5 dB', () => {
    for (const [a, b] of PAIRS.slice(0, 6)) {
      const settings = { ...SETTINGS, maxBoostDb: 12, maxCutDb: 12, fromHz: 60, toHz: 15000 }
      const there = fitCorrection({ ...settings, source: inventedMicCurve(a), target: inventedMicCurve(b) })
      const back = fitCorrection({ ...settings, source: inventedMicCurve(b), target: inventedMicCurve(a) })
      for (const f of octaveGridHz(60, 15000, 24)) {
        expect(Math.abs(levelAt(there.fit, f) + levelAt(back.fit, f))).toBeLessThan(0.5)
      }
    }
  })
})

describe('what a correction asks for', () => {
  it('is nothing between a curve and itself: no bands', () => {
    const { bands, rmsErrorDb } = fitCorrection({
      ...SETTINGS,
      source: inventedMicCurve(5),
      target: inventedMicCurve(5),
    })
    expect(bands).toEqual([])
    expect(rmsErrorDb).toBe(0)
  })

  it('finds one known bell with one band, as it is', () => {
    const bell: Band = { shape: 'bell', frequencyHz: 2000, gainDb: -5, q: 1 }
    const { bands, target } = fitCorrection({ ...SETTINGS, source: flat, target: bandsCurve([bell]) })
    // Taking the mean of 300 to 3000 Hz as 0 dB lifts the rest, so a shelf or two may join.
    const reached = bandsCurve(bands)
    for (const f of [100, 500, 1000, 2000, 4000, 10000]) {
      expect(Math.abs(levelAt(reached, f) - levelAt(target, f))).toBeLessThan(0.4)
    }
    const narrow: Band = { shape: 'bell', frequencyHz: 8000, gainDb: -5, q: 2 }
    const one = fitCorrection({ ...SETTINGS, source: flat, target: bandsCurve([narrow]) }).bands
    expect(one).toHaveLength(1)
    expect(one[0].shape).toBe('bell')
    expect(Math.abs(one[0].frequencyHz / 8000 - 1)).toBeLessThan(0.02)
    expect(Math.abs(one[0].gainDb + 5)).toBeLessThan(0.3)
    expect(Math.abs(one[0].q / 2 - 1)).toBeLessThan(0.15)
  })

  it('is scaled by the amount', () => {
    const source = inventedMicCurve(3)
    const target = inventedMicCurve(4)
    const wide = { ...SETTINGS, maxBoostDb: 30, maxCutDb: 30, source, target }
    const whole = fitCorrection(wide).target
    const half = fitCorrection({ ...wide, amountPercent: 50 }).target
    half.levelsDb.forEach((levelDb, i) => {
      expect(levelDb).toBeCloseTo(whole.levelsDb[i] / 2, 9)
    })
    expect(fitCorrection({ ...wide, amountPercent: 0 }).bands).toEqual([])
  })

  it('is bounded, and boosts nothing below 30 Hz', () => {
    const other = bandsCurve([
      { shape: 'low-shelf', frequencyHz: 200, gainDb: 14, q: 0.7 },
      { shape: 'high-shelf', frequencyHz: 5000, gainDb: -16, q: 0.7 },
    ])
    const { target, fit } = fitCorrection({ ...SETTINGS, source: flat, target: other })
    expect(Math.max(...target.levelsDb)).toBeLessThanOrEqual(SETTINGS.maxBoostDb)
    expect(Math.min(...target.levelsDb)).toBeGreaterThanOrEqual(-SETTINGS.maxCutDb)
    expect(levelAt(target, 100)).toBeCloseTo(4, 6)
    expect(levelAt(target, 28)).toBe(0)
    expect(Math.max(...fit.levelsDb)).toBeLessThan(SETTINGS.maxBoostDb + 0.5)
  })

  it.each([44_100, 48_000, 96_000])(
    'boosts and cuts no more than its bounds anywhere from 0 Hz to half of %d Hz',
    (sampleRateHz) => {
      const grid = Array.from({ length: 4001 }, (_, i) => (i * sampleRateHz) / 8000)
      for (let i = 0; i < 6; i++) {
        const maxBoostDb = [0, 4][i % 2]
        const maxCutDb = [9, 3, 2][i % 3]
        const { bands } = fitCorrection({
          ...SETTINGS,
          sampleRateHz,
          maxBoostDb,
          maxCutDb,
          maxBands: [3, 8, 12][i % 3],
          fromHz: i % 2 === 0 ? 20 : 50,
          source: wildCurve(2 * i + 1),
          target: wildCurve(2 * i + 2, i % 4 === 3 ? 80 : 20, i % 4 === 1 ? 10_000 : 20_000),
        })
        const levelsDb = bandsResponseDb(bands, grid, sampleRateHz)
        expect(Math.max(...levelsDb)).toBeLessThanOrEqual(maxBoostDb)
        expect(Math.min(...levelsDb)).toBeGreaterThanOrEqual(-maxCutDb)
      }
    },
  )

  it('is led out where the data ends: no dip is left there, and the range may end within the data', () => {
    const grid = [4000, 8000, 10_000, 12_000, 16_000, 20_000, 23_000]
    const bright = { frequenciesHz: [20, 1000, 2000, 4000, 10_000], levelsDb: [0, 0, 2, 8.5, 8.5] }
    const ended = fitCorrection({ ...SETTINGS, source: bright, target: flat })
    const [inside, near, ...beyond] = bandsResponseDb(ended.bands, grid, 48_000)
    expect(inside).toBeLessThan(-6)
    expect(near).toBeGreaterThan(-5)
    for (const levelDb of beyond) expect(Math.abs(levelDb)).toBeLessThan(1)
    // 12 dB an octave from the end of the data, and away from the end of the range.
    expect(Math.abs(levelAt(ended.target, 10_000))).toBeLessThan(0.2)
    expect(levelAt(ended.target, 10_000 / 2 ** 0.25)).toBeCloseTo(-3, 0)
    const whole = { frequenciesHz: [...bright.frequenciesHz, 20_000], levelsDb: [...bright.levelsDb, 8.5] }
    const { target } = fitCorrection({ ...SETTINGS, toHz: 8000, source: whole, target: flat })
    const endDb = levelAt(target, 8000)
    expect(endDb).toBeLessThan(-6)
    expect(levelAt(target, 8000 * 2 ** 0.25)).toBeCloseTo(endDb + 3, 0)
    expect(levelAt(target, 16_000)).toBeCloseTo(0, 6)
  })

  it('invents nothing beyond the data of either curve', () => {
    for (const [a, b] of PAIRS.slice(0, 8)) {
      const { target, fit } = fitCorrection({
        ...SETTINGS,
        source: cutTo(inventedMicCurve(a), 100, 10000),
        target: inventedMicCurve(b),
      })
      target.frequenciesHz.forEach((f, i) => {
        if (f < 99 || f > 10100) expect(target.levelsDb[i]).toBe(0)
      })
      expect(Math.abs(levelAt(fit, 30))).toBeLessThan(1)
      expect(Math.abs(levelAt(fit, 18000))).toBeLessThan(2)
    }
  })

  it('cannot be made from curves that do not meet', () => {
    const low = cutTo(inventedMicCurve(1), 20, 500)
    const high = cutTo(inventedMicCurve(2), 400, 20000)
    expect(() => fitCorrection({ ...SETTINGS, source: low, target: high })).toThrow(RangeError)
  })

  it('is the same every time, and fits what a sample rate of 16 kHz can carry', () => {
    const request = {
      ...SETTINGS,
      sampleRateHz: 16000,
      source: inventedMicCurve(1),
      target: inventedMicCurve(2),
    }
    const fit = fitCorrection(request)
    expect(fitCorrection(request)).toEqual(fit)
    expect(fit.rmsErrorDb).toBeLessThan(0.3)
    for (const { frequencyHz } of fit.bands) expect(frequencyHz).toBeLessThan(16000)
  })
})

describe('slopes of a band for the fit', () => {
  it.each(['bell', 'low-shelf', 'high-shelf'] as const)(
    '%s: agree with differences of the prototype',
    (shape) => {
      const frequenciesHz = octaveGridHz(50, 16000, 2)
      const logs = Float64Array.from(frequenciesHz, Math.log)
      const levelsDb = new Float64Array(logs.length)
      const slopes = new Float64Array(3 * logs.length)
      const band: Band = { shape, frequencyHz: 1300, gainDb: -7, q: 0.9 }
      addBandLevels(shape, Math.log(1300), -7, Math.log(0.9), logs, levelsDb, slopes, 3, 0)
      const step = 1e-5
      const moved = (change: number): Band[] => [
        { ...band, frequencyHz: 1300 * Math.exp(change) },
        { ...band, gainDb: -7 + change },
        { ...band, q: 0.9 * Math.exp(change) },
      ]
      frequenciesHz.forEach((f, i) => {
        expect(levelsDb[i]).toBeCloseTo(analogueBandDb(band, f), 9)
        for (let p = 0; p < 3; p++) {
          const difference = analogueBandDb(moved(step)[p], f) - analogueBandDb(moved(-step)[p], f)
          expect(slopes[3 * i + p]).toBeCloseTo(difference / (2 * step), 5)
        }
      })
    },
  )
})
