// F11: how well a few fitted sections bring one invented microphone's curve to another's.

import { type CorrectionRequest, fitCorrection } from '../../../app/dsp/correction/correction.ts'
import { resampleCurve } from '../../../app/dsp/correction/curve.ts'
import { cutTo, inventedMicCurve, wildCurve } from '../../signals/mic-curves.ts'
import { LIMITS } from '../limits.ts'
import { evenAxis, LOG_HZ, type Plot } from '../plot.ts'
import { measureResponse, measureWholeResponse } from '../response.ts'
import { type Figure, limitOf, type Reading, rowOf } from '../rows.ts'

const FS = 48_000
const PAIRS = Array.from({ length: 24 }, (_, i) => [2 * i + 1, 2 * i + 2] as const)
const SETTINGS: Omit<CorrectionRequest, 'source' | 'target'> = {
  amountPercent: 100,
  maxBoostDb: 4,
  maxCutDb: 9,
  fromHz: 20,
  toHz: 20_000,
  maxBands: 8,
  sampleRateHz: FS,
}

/**
 * A fit whose bounds are out of the way, run as a stage: its response less the difference of
 * the two curves, even over log f from 50 Hz to 16 kHz. The level between two curves is free,
 * so the mean is taken out.
 */
function errorsOf(source: number, target: number, rippleDb: number) {
  const curves = { source: inventedMicCurve(source, rippleDb), target: inventedMicCurve(target, rippleDb) }
  const { bands } = fitCorrection({ ...SETTINGS, maxBoostDb: 15, maxCutDb: 15, ...curves })
  const { frequenciesHz, levelsDb } = measureResponse(
    [{ kind: 'mic-correction', settings: { bands } }],
    FS,
    50,
    16_000,
    100,
  )
  const at = (curve: (typeof curves)['source']) => resampleCurve(curve, frequenciesHz).levelsDb
  const from = at(curves.source)
  const to = at(curves.target)
  const errors = levelsDb.map((level, i) => level - (to[i] - from[i]))
  const mean = errors.reduce((sum, error) => sum + error, 0) / errors.length
  const wanted = to.map((level, i) => level - from[i] + mean)
  const rms = Math.sqrt(errors.reduce((sum, error) => sum + (error - mean) ** 2, 0) / errors.length)
  return { frequenciesHz, levelsDb, wanted, rms, bands: bands.length }
}

/** The greatest boost of a fit over what its bound says, as the stage sounds, from 0 Hz to half the rate. */
function boostOverBound(request: CorrectionRequest): number {
  const { bands } = fitCorrection(request)
  const { levelsDb } = measureWholeResponse(
    [{ kind: 'mic-correction', settings: { bands } }],
    request.sampleRateHz,
  )
  return Math.max(...levelsDb) - request.maxBoostDb
}

/** Random curves, bounds, ranges, numbers of bands and rates; some curves end at 80 Hz or at 10 kHz. */
function wildBoosts(): Reading[] {
  return Array.from({ length: 40 }, (_, i) => {
    const sampleRateHz = [44_100, 48_000, 96_000][i % 3]
    const maxBoostDb = [0, 2, 4, 6, 12][i % 5]
    const value = boostOverBound({
      ...SETTINGS,
      sampleRateHz,
      maxBoostDb,
      maxBands: [3, 6, 8, 12][i % 4],
      fromHz: i % 2 === 0 ? 20 : 50,
      toHz: i % 7 < 4 ? 16_000 : 20_000,
      source: wildCurve(2 * i + 1),
      target: wildCurve(2 * i + 2, i % 4 === 3 ? 80 : 20, i % 4 === 1 ? 10_000 : 20_000),
    })
    return { where: `pair ${i + 1}, bound ${maxBoostDb} dB, ${sampleRateHz} Hz`, value }
  })
}

/** Fits of curves that end at 10 kHz: what is left of the correction there and above. */
function ends(): { readonly left: Reading[]; readonly atEnd: Reading[] } {
  const left: Reading[] = []
  const atEnd: Reading[] = []
  for (const [a, b] of PAIRS) {
    const { bands } = fitCorrection({
      ...SETTINGS,
      source: cutTo(inventedMicCurve(a), 60, 10_000),
      target: inventedMicCurve(b),
    })
    const setups = [{ kind: 'mic-correction', settings: { bands } }] as const
    const { frequenciesHz, levelsDb } = measureWholeResponse(setups, FS)
    const at = (hz: number) => levelsDb[Math.round((hz / FS) * 2 * (levelsDb.length - 1))]
    const where = `curve ${a} to ${b}`
    left.push({
      where,
      value: Math.max(...levelsDb.filter((_, i) => frequenciesHz[i] > 10_500).map(Math.abs)),
    })
    atEnd.push({ where, value: Math.abs(at(10_000)) })
  }
  return { left, atEnd }
}

function fitPlot(): Plot {
  const shown = [
    { pair: PAIRS[0], colour: 'accent' },
    { pair: PAIRS[9], colour: 'sand' },
    { pair: PAIRS[17], colour: 'green' },
  ] as const
  return {
    title: 'Fitted sections against the wanted difference',
    caption:
      'Three pairs of invented curves, measured on an impulse through the stage; the wanted difference dashed, its level free.',
    x: { ...LOG_HZ, from: 50, to: 16_000, marks: [50, 100, 200, 500, 1000, 2000, 5000, 10_000] },
    y: evenAxis('level, dB', -10, 10, 2),
    curves: shown.flatMap(({ pair: [source, target], colour }) => {
      const { frequenciesHz, levelsDb, wanted, bands, rms } = errorsOf(source, target, 0)
      return [
        {
          name: `curve ${source} to ${target}: ${bands} bands, ${rms.toFixed(2)} dB RMS`,
          xs: frequenciesHz,
          ys: levelsDb,
          kind: 'line' as const,
          colour,
        },
        { name: 'wanted', xs: frequenciesHz, ys: wanted, kind: 'dashed' as const, colour: 'ink' as const },
      ]
    }),
  }
}

function spreadPlot(smooth: readonly Reading[], rippled: readonly Reading[]): Plot {
  const places = smooth.map((_, i) => i + 1)
  return {
    title: 'RMS error of every pair',
    caption:
      '24 pairs of invented curves, 50 Hz to 16 kHz; with ripple, 0.4 dB of it stay in the curves as in measured ones.',
    x: evenAxis('pair', 0, 25, 5),
    y: evenAxis('dB RMS', 0, 0.6, 0.1),
    curves: [
      {
        name: 'smooth curves',
        xs: places,
        ys: smooth.map(({ value }) => value),
        kind: 'points',
        colour: 'accent',
      },
      {
        name: 'with ripple',
        xs: places,
        ys: rippled.map(({ value }) => value),
        kind: 'points',
        colour: 'sand',
      },
      { name: 'limit', xs: [0, 25], ys: [0.5, 0.5], kind: 'dashed', colour: 'failure' },
    ],
  }
}

export function measureCorrection(): Figure {
  const over = (rippleDb: number) =>
    PAIRS.map(([a, b]): Reading => ({ where: `curve ${a} to ${b}`, value: errorsOf(a, b, rippleDb).rms }))
  const smooth = over(0)
  const rippled = over(0.4)
  const boosts = PAIRS.map(
    ([a, b]): Reading => ({
      where: `curve ${a} to ${b}`,
      value: boostOverBound({ ...SETTINGS, source: inventedMicCurve(a), target: inventedMicCurve(b) }),
    }),
  )
  const wild = wildBoosts()
  const { left, atEnd } = ends()
  const same = inventedMicCurve(5)
  const idle = fitCorrection({ ...SETTINGS, source: same, target: same }).bands.length
  return {
    id: 'F11',
    title: 'Correction',
    rows: [
      rowOf(
        'F11',
        '24 pairs of smooth curves: RMS error of the stage, 50 Hz to 16 kHz',
        LIMITS.correctionRmsDb,
        smooth,
      ),
      rowOf('F11', '24 pairs of curves with ripple: the same', LIMITS.correctionRmsDb, rippled),
      rowOf(
        'F11',
        'greatest boost over its bound of 4 dB, 0 Hz to half the rate',
        LIMITS.correctionBoostDb,
        boosts,
      ),
      rowOf(
        'F11',
        '40 pairs of wild curves, bounds of 0 to 12 dB: greatest boost over the bound, 0 Hz to half the rate',
        LIMITS.correctionBoostDb,
        wild,
      ),
      rowOf(
        'F11',
        'curves that end at 10 kHz: greatest level of the fit above 10.5 kHz',
        limitOf({ high: 1 }, 'dB', 2, 'ours: nothing is invented beyond the data'),
        left,
      ),
      rowOf(
        'F11',
        'the same: level of the fit at 10 kHz',
        limitOf({ high: 1 }, 'dB', 2, 'ours: the end is led out to 0 dB'),
        atEnd,
      ),
      rowOf(
        'F11',
        'bands fitted between a curve and itself',
        { ...LIMITS.differingSamples, unit: 'bands', source: 'Takeloft’s own target' },
        [{ where: 'curve 5', value: idle }],
      ),
    ],
    plots: [fitPlot(), spreadPlot(smooth, rippled)],
  }
}
