// The targets of the mic correction with the bounds of the shipped stage.

import { fitCorrection } from '../../../app/dsp/correction/correction.ts'
import { bandsResponseDb } from '../../../app/dsp/filters/response.ts'
import { inventedMicCurve } from '../../signals/mic-curves.ts'
import { type Figure, limitOf, rowOf } from '../rows.ts'

const FS = 48_000
const SETTINGS = {
  amountPercent: 100,
  maxBoostDb: 4,
  maxCutDb: 9,
  fromHz: 50,
  toHz: 16_000,
  maxBands: 8,
  sampleRateHz: FS,
} as const
const PAIRS = Array.from({ length: 24 }, (_, i) => [2 * i + 1, 2 * i + 2] as const)
const FREQUENCIES_HZ = Array.from({ length: 121 }, (_, i) => 60 * (15_000 / 60) ** (i / 120))

const fitPair = (source: number, target: number) =>
  fitCorrection({ ...SETTINGS, source: inventedMicCurve(source), target: inventedMicCurve(target) })

/** There and back, without bounds in the way: the greatest level that is left, the mean taken out. */
function thereAndBackDb(a: number, b: number): number {
  const wide = { ...SETTINGS, maxBoostDb: 15, maxCutDb: 15 }
  const [one, other] = [inventedMicCurve(a, 0), inventedMicCurve(b, 0)]
  const bands = [
    ...fitCorrection({ ...wide, source: one, target: other }).bands,
    ...fitCorrection({ ...wide, source: other, target: one }).bands,
  ]
  const levels = bandsResponseDb(bands, FREQUENCIES_HZ, FS)
  const mean = levels.reduce((sum, level) => sum + level, 0) / levels.length
  return Math.max(...levels.map((level) => Math.abs(level - mean)))
}

const TARGET = 'Takeloft’s own target'

export function measureMicFit(): Figure {
  const fits = PAIRS.map(([a, b]) => {
    const began = performance.now()
    const fit = fitPair(a, b)
    return { where: `curve ${a} to ${b}`, ms: performance.now() - began, ...fit }
  })
  const byTime = fits.toSorted((one, other) => one.ms - other.ms)
  const middle = byTime[byTime.length >> 1]
  return {
    id: 'T3',
    title: 'Mic correction as it is shipped',
    plots: [],
    rows: [
      rowOf(
        'T3',
        '24 pairs with ripple, 8 bands, bounded: RMS error against the wanted curve',
        limitOf({ high: 0.3 }, 'dB', 3, TARGET),
        fits.map(({ where, rmsErrorDb }) => ({ where, value: rmsErrorDb })),
      ),
      rowOf(
        'T3',
        'the same: greatest error',
        limitOf({ high: 1 }, 'dB', 3, TARGET),
        fits.map(({ where, maxErrorDb }) => ({ where, value: maxErrorDb })),
      ),
      rowOf(
        'T3',
        'from one mic to another and back: what is left',
        limitOf({ high: 0.5 }, 'dB', 3, TARGET),
        PAIRS.slice(0, 12).map(([a, b]) => ({ where: `curves ${a} and ${b}`, value: thereAndBackDb(a, b) })),
      ),
      rowOf(
        'T3',
        'time of a fit, median of 24',
        limitOf({}, 'ms', 0, `${TARGET}: under 100 ms; shown and not judged, since machines differ`),
        [{ where: middle.where, value: middle.ms }],
      ),
    ],
  }
}
