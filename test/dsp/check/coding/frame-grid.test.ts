import { describe, expect, it } from 'vitest'
import { areAlike } from '../../../../app/dsp/check/coding/frame-grid.ts'
import { createRandom } from '../../../../app/dsp/maths/random.ts'

/** Counts around 20 with a peak at offset 300. */
function countsOf(seed: number): Float64Array {
  const random = createRandom(seed)
  const counts = Float64Array.from({ length: 1024 }, () => Math.max(0, 20 + 4.5 * random.normal()))
  counts[300] = 200
  return counts
}

describe('counts by offset', () => {
  it('are alike where both are of a sound that repeats, and not where only the peak agrees', () => {
    const own = countsOf(1)
    const noisy = countsOf(2).map((value, o) => 0.5 * value + own[o])
    expect(areAlike(own, noisy, 300)).toBe(true)
    for (let seed = 3; seed < 20; seed++) expect(areAlike(own, countsOf(seed), 300)).toBe(false)
  })
})
