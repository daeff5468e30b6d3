// Sibilants of several layers that strike together. K sounds of one level that are unrelated add up to 10 log10 K over
// one of them.

import { describe, expect, it } from 'vitest'
import { findSibilants, type LayerSibilant } from '../../../app/dsp/stack/sibilants.ts'

const LEAD_FIRST = [true, false, false, false]
const s = (layer: number, fromMs: number, toMs: number, levelDbfs = -30): LayerSibilant => ({
  layer,
  fromS: fromMs / 1000,
  toS: toMs / 1000,
  levelDbfs,
})

describe('sibilants that strike together', () => {
  it('build up by 10 log10 of their count over that of the lead, which keeps its own', () => {
    const [found] = findSibilants([s(0, 0, 100), s(1, 5, 100), s(2, 10, 110), s(3, 2, 90)], LEAD_FIRST)
    expect(found.kept).toBe(0)
    expect(found.buildUpDb).toBeCloseTo(10 * Math.log10(4), 9)
    expect(found.spreadMs).toBeCloseTo(10, 9)
    expect([found.fromS, found.toS]).toEqual([0, 0.11])
  })

  it('name those to hold, the loudest first, without those that add nothing', () => {
    const [found] = findSibilants(
      [s(0, 0, 99), s(1, 0, 99, -32), s(2, 0, 99, -28), s(3, 0, 99, -45)],
      LEAD_FIRST,
    )
    expect(found.layers).toEqual([2, 1])
  })

  it('never begin further apart than 120 ms, although each overlaps the one before', () => {
    const chain = [s(0, 0, 150), s(1, 60, 210), s(2, 119, 270), s(3, 177, 330)]
    for (const shuffled of [chain, chain.toReversed()]) {
      const found = findSibilants(shuffled, LEAD_FIRST)
      expect(found.map(({ layers, kept }) => [kept, ...layers.toSorted()])).toEqual([[0, 1, 2]])
      expect(found[0].spreadMs).toBeCloseTo(119, 9)
      expect(found[0].toS).toBe(0.27)
    }
  })

  it('are none where they follow one another, or where one layer has both', () => {
    expect(findSibilants([s(0, 0, 80), s(1, 90, 170)], LEAD_FIRST)).toEqual([])
    expect(findSibilants([s(1, 0, 80), s(1, 60, 170)], LEAD_FIRST)).toEqual([])
  })

  it('without the lead, the loudest keeps its own', () => {
    const [found] = findSibilants([s(1, 0, 80, -31), s(2, 0, 80, -29), s(3, 0, 80, -30)], LEAD_FIRST)
    expect([found.kept, ...found.layers]).toEqual([2, 3, 1])
  })
})
