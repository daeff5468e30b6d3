import { describe, expect, it } from 'vitest'
import { createWorkRows, kernels, viewOf } from '../../../app/dsp/wasm/kernels.ts'
import type { Row } from '../../../app/dsp/wasm/row.ts'

const row = createWorkRows().row(1024)
const view = viewOf(row, 1024)

function through(kernel: (row: Row, count: number) => void, values: readonly number[]): number[] {
  view.set(values)
  kernel(row, values.length)
  return [...view.subarray(0, values.length)]
}

/** Evenly spread, and both sides of every place where the exponent changes. */
const spread = (from: number, to: number, count: number) =>
  Array.from({ length: count }, (_, i) => from + ((to - from) * i) / (count - 1))

describe('levels and gains of the kernels', () => {
  it('levels of powers from 1e-30 to 1e30 are those of Math.log10 within 2e-13 dB', () => {
    const powers = [
      ...spread(-30, 30, 800).map((exponent) => 10 ** exponent),
      ...spread(-50, 50, 101).flatMap((octave) => [2 ** octave, 2 ** octave * (1 - 2 ** -53)]),
    ]
    const worst = through(kernels.writeDbOfPowers, powers).reduce(
      (most, db, i) => Math.max(most, Math.abs(db - 10 * Math.log10(powers[i]))),
      0,
    )
    expect(worst).toBeLessThan(2e-13)
  })

  it('gains of -120 to 120 dB are those of Math.exp within 1e-14 of themselves', () => {
    const levels = spread(-120, 120, 1000)
    const worst = through(kernels.writeGainsOfDb, levels).reduce((most, gain, i) => {
      const wanted = Math.exp((levels[i] * Math.LN10) / 20)
      return Math.max(most, Math.abs(gain / wanted - 1))
    }, 0)
    expect(worst).toBeLessThan(1e-14)
  })

  it('0 dB is a gain of exactly 1', () => {
    expect(through(kernels.writeGainsOfDb, [0, -0])).toEqual([1, 1])
  })
})
