// The picture of the check in the rows: shares by strand, which add up to the stack, and marks on the layers concerned.

import { describe, expect, it } from 'vitest'
import { STRANDS } from '../../../../app/contract/joints.ts'
import { StackCheck } from '../../../../app/contract/stack-check/stack-check.ts'
import { picturesOf } from '../../../../renderer/formats/stack/check-picture.ts'

const BANDS = [100, 200, 250, 1000, 3150, 6300, 12_500]
const built = {
  hz: 3150,
  buildUpDb: 6,
  shapeDb: 3,
  share: 0.4,
  shareOverMedian: 0.2,
  excessDb: 8,
  leaveOneOutDb: 2,
}
const places = [{ fromS: 1, toS: 2 }]
const finding = { layerIds: [8, 9], fromS: 1, toS: 2, value: 2, unit: 'dB', places, suggestion: null }

const check = StackCheck.parse({
  fromS: 0,
  toS: 2,
  layers: [7, 8, 9].map((layerId) => ({ layerId, name: `Layer ${layerId}`, isLead: layerId === 7 })),
  bands: BANDS.map((hz) => ({ hz, buildUpDb: 3, shares: [], sharesDb: [] })),
  // 250 Hz has three times the energy of 200 Hz, in the same strand; nothing is at 12.5 kHz.
  mono: BANDS.slice(0, -1).map((hz) => ({ hz, lossDb: 0, energyShare: hz === 250 ? 0.3 : 0.1, lost: [] })),
  spans: [
    {
      fromS: 0,
      toS: 1,
      buildUpDb: BANDS.map(() => 3),
      shares: [
        [0.5, 0.8, 0.4, 1.2, 0.6, null, 0.5],
        [0.3, 0.1, 0.5, -0.3, 0.3, null, 0.3],
        [0.2, 0.1, 0.1, 0.1, 0.1, null, 0.2],
      ],
      glimpsedShare: 0.6,
    },
  ],
  timings: [],
  findings: [
    { ...finding, kind: 'harsh-build-up', evidence: built },
    { ...finding, layerIds: [9], kind: 'timing-spread', evidence: { medianMs: 31, phrases: 3 } },
  ],
  remarks: [],
})
const pictures = picturesOf(check)
const strandsOf = (layerId: number) => pictures.get(layerId)!.shares[0].strands
const named = (name: string): number => STRANDS.findIndex((strand) => strand.name === name)

describe('the picture of a layer', () => {
  it('weighs the bands of a strand by their energy', () => {
    expect(strandsOf(7)[named('mud')]).toBeCloseTo((0.1 * 0.8 + 0.3 * 0.4) / 0.4, 12)
    const mud = [7, 8, 9].reduce((sum, id) => sum + strandsOf(id)[named('mud')]!, 0)
    expect(mud).toBeCloseTo(1, 12)
  })

  it('has nothing where the stack is silent, and neither less than nothing nor more than all', () => {
    expect(strandsOf(7)[named('sibilance')]).toBeNull()
    expect(strandsOf(7)[named('air')]).toBeNull()
    expect([7, 8].map((id) => strandsOf(id)[named('body')])).toEqual([1, 0])
  })

  it('marks every layer concerned, and what builds up on the first one only', () => {
    const marks = [7, 8, 9].map((id) => pictures.get(id)!.marks)
    expect(marks[0]).toEqual([])
    expect(marks[1]).toEqual([{ finding: 0, places, strand: named('edge') }])
    expect(marks[2].map(({ finding: index, strand }) => [index, strand])).toEqual([
      [0, null],
      [1, null],
    ])
  })
})
