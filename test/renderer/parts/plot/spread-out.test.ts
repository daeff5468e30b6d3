// Labels along one axis: apart from each other, in their order and within the field.

import { describe, expect, it } from 'vitest'
import { spreadOut } from '../../../../renderer/parts/plot/spread-out.ts'

describe('spreadOut', () => {
  it('stay in order and apart, and inside', () => {
    const places = [140, 120, 60, 30, 28, 27]
    const spread = spreadOut(places, 18, 8, 156)
    const sorted = [...spread].sort((a, b) => a - b)
    for (let i = 1; i < sorted.length; i++) expect(sorted[i] - sorted[i - 1]).toBeGreaterThanOrEqual(18)
    expect(sorted[0]).toBeGreaterThanOrEqual(8)
    expect(sorted.at(-1)).toBeLessThanOrEqual(156)
    expect([...spread].reverse()).toEqual(sorted)
  })

  it('keeps the names of resonances near 7.2 and 8.3 kHz and at the edge apart', () => {
    // On a log axis from 40 Hz to 20 kHz, 600 px wide.
    const xs = [2400, 7200, 8300, 12_500, 19_000].map(
      (hz) => 46 + (600 * Math.log(hz / 40)) / Math.log(20_000 / 40),
    )
    const spread = spreadOut(xs, 62, 46 + 31, 646 - 31)
    for (let k = 1; k < spread.length; k++) {
      expect(spread[k] - spread[k - 1]).toBeGreaterThanOrEqual(62 - 1e-9)
    }
    expect(spread.at(-1)).toBeLessThanOrEqual(615)
  })
})
