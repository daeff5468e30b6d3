// Thinned curves against straight lines over the logarithm of frequency, which are worked out here.

import { expect, it } from 'vitest'
import { thinCurve } from '../../../app/dsp/correction/thin-curve.ts'

const frequenciesHz = Array.from({ length: 5000 }, (_, i) => 20 * 1000 ** (i / 4999))
const TOLERANCE_DB = 0.01

it.each([
  ['a smooth response', (hz: number) => 4 * Math.sin(Math.log(hz)) - 3 / (1 + (hz / 60) ** 2)],
  ['a notch', (hz: number) => (Math.abs(hz - 1000) < 20 ? -12 : 0)],
  ['a slope of 6 dB to the octave', (hz: number) => 6 * Math.log2(hz / 1000)],
])('%s is given within 0.01 dB by fewer points', (_, levelDb) => {
  const curve = { frequenciesHz, levelsDb: frequenciesHz.map(levelDb) }
  const thin = thinCurve(curve, TOLERANCE_DB)
  expect(thin.frequenciesHz.length).toBeLessThan(500)
  expect([thin.frequenciesHz[0], thin.frequenciesHz.at(-1)]).toEqual([frequenciesHz[0], frequenciesHz.at(-1)])
  let worstDb = 0
  for (const [i, hz] of frequenciesHz.entries()) {
    const k = Math.max(
      1,
      thin.frequenciesHz.findIndex((one) => one >= hz),
    )
    const [low, high] = [thin.frequenciesHz[k - 1]!, thin.frequenciesHz[k]!]
    const share = Math.log(hz / low) / Math.log(high / low)
    const there = thin.levelsDb[k - 1]! * (1 - share) + thin.levelsDb[k]! * share
    worstDb = Math.max(worstDb, Math.abs(there - curve.levelsDb[i]!))
  }
  expect(worstDb).toBeLessThanOrEqual(TOLERANCE_DB + 1e-9)
})

it('a straight line keeps its ends alone, and no tolerance keeps what bends', () => {
  const line = { frequenciesHz: [10, 100, 1000], levelsDb: [0, 1, 2] }
  expect(thinCurve(line, 1e-9)).toEqual({ frequenciesHz: [10, 1000], levelsDb: [0, 2] })
  const bent = { frequenciesHz: [10, 100, 1000], levelsDb: [0, 1, 3] }
  expect(thinCurve(bent, 0)).toEqual(bent)
})
