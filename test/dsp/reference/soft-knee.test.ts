import { expect, it } from 'vitest'
import { SOFT_KNEE_TABLE } from '../stages/soft-knee-table.ts'
import { softKneeReductionDb } from './soft-knee.ts'

it.each(SOFT_KNEE_TABLE)(
  'soft knee of eq. 4 (JAES 60(6), 2012): %d dB in, %d dB out, within 1e-9',
  (inputDb, outputDb) => {
    expect(inputDb - softKneeReductionDb(inputDb + 20, 1 - 1 / 4, 6)).toBeCloseTo(outputDb, 9)
  },
)

it('a knee of 0 dB is a corner at the threshold', () => {
  expect([-1, 0, 1, 8].map((overDb) => softKneeReductionDb(overDb, 0.75, 0))).toEqual([0, 0, 0.75, 6])
})

it('the knee joins both straight parts within 1e-6 dB', () => {
  for (const end of [-3, 3]) {
    const before = softKneeReductionDb(end - 1e-7, 0.75, 6)
    const after = softKneeReductionDb(end + 1e-7, 0.75, 6)
    expect(Math.abs(after - before)).toBeLessThan(1e-6)
  }
})
