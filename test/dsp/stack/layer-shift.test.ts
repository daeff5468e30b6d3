// One shift for a layer from what its phrases ask for, and one finding for sibilants that strike together again and again.

import { describe, expect, it } from 'vitest'
import { shiftsOf, sibilantFindings } from '../../../app/dsp/stack/findings.ts'
import { layerShift } from '../../../app/dsp/stack/layer-shift.ts'
import type { StackLayer } from '../../../app/dsp/stack/stack-layers.ts'

const vote = (ms: number, seconds = 2) => ({ ms, seconds })
const MIDDLE = [{ left: 1, right: 1 }]
const LAYERS: StackLayer[] = [10, 11, 12, 13].map((id, k) => ({ id, isLead: k === 0, channels: MIDDLE }))

describe('the shift of a layer', () => {
  it('is the median of its phrases, weighted by their length, with the mean distance from it', () => {
    expect(layerShift([vote(-12), vote(-10), vote(-11)])).toEqual({ shiftMs: -11, spreadMs: 2 / 3 })
    // Four seconds of 20 ms against two of 10.
    expect(layerShift([vote(10, 2), vote(20, 4)])?.shiftMs).toBe(20)
    expect(layerShift([vote(10, 4), vote(20, 2)])?.shiftMs).toBe(10)
  })

  it('is none where the phrases disagree by more than it would take away', () => {
    expect(layerShift([vote(12), vote(-8)])).toBeNull()
    expect(layerShift([vote(12), vote(-8), vote(12), vote(-8), vote(11)])).toBeNull()
    // 14 ms on average before, 8 ms after; with -8 in place of -20, 11 before and 5 after.
    expect(layerShift([vote(12), vote(12), vote(12), vote(-20)])).toBeNull()
    expect(layerShift([vote(12), vote(12), vote(12), vote(-8)])).toEqual({ shiftMs: 12, spreadMs: 5 })
    expect(layerShift([vote(12), vote(12), vote(12), vote(12), vote(-1)])?.shiftMs).toBe(12)
    expect(layerShift([])).toBeNull()
  })

  it('is the same for all findings of a layer, and exact delays of copies outweigh estimates', () => {
    const copy = (other: number, ms: number) => ({
      layers: [2, other] as const,
      lagSeconds: ms / 1000,
      isInverted: false,
      levelDb: 3,
      depthDb: 20,
      monoDepthDb: 20,
      notchesHz: [500],
      places: [],
      delays: [{ lagSeconds: ms / 1000, seconds: 2 }],
    })
    const late = (layer: number) => ({
      layer,
      offsetsMs: [40, 41, 39],
      medianMs: 40,
      spreadMs: 1,
      places: [0, 2, 4].map((fromS) => ({ fromS, toS: fromS + 2 })),
    })
    // 3 dB quieter than the later one, the earlier copy gives way: it is moved later.
    const shifts = shiftsOf([copy(1, 1), copy(3, 1)], [late(1), late(2)], LAYERS)
    expect([...shifts.keys()].sort()).toEqual([1, 2, 3])
    expect(shifts.get(1)).toEqual({ shiftMs: 1, spreadMs: 0 })
    expect(shifts.get(2)?.shiftMs).toBe(-40)
  })
})

it('sibilants beside those of one layer are one finding with its places in order, the layers by how often', () => {
  const moment = (layers: number[], kept: number, fromS: number, buildUpDb: number) => ({
    ...{ layers, kept, buildUpDb, spreadMs: 10 * fromS, fromS, toS: fromS + 0.1 },
  })
  const found = sibilantFindings(
    [moment([2], 0, 5, 4), moment([2, 1], 0, 1, 6), moment([3], 1, 2, 7), moment([2, 3], 0, 3, 5)],
    { layers: LAYERS, spans: [] },
  )
  expect(
    found.map(({ value, layerIds, places }) => [value, layerIds, places.map(({ fromS }) => fromS)]),
  ).toEqual([
    [7, [13], [2]],
    [6, [12, 11, 13], [1, 3, 5]],
  ])
  expect(found[1]).toMatchObject({
    fromS: 1,
    toS: 5.1,
    evidence: { keptLayerId: 10, spreadMs: 50 },
    suggestion: { act: 'hold', layerIds: [12, 11, 13], gainDb: -6 },
  })
})
