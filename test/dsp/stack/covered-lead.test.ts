// Where the lead is covered: phrases of which less than half is heard, as places, with the layer whose absence brings
// most of it back.

import { describe, expect, it } from 'vitest'
import { type Covered, coveredLead } from '../../../app/dsp/stack/covered-lead.ts'
import { layersOf, type TestLayer } from './measured-stack.ts'

const samples = new Float64Array(1)
const layers = layersOf([{ samples, isLead: true }, { samples }, { samples }] satisfies TestLayer[])
const NONE: ReadonlySet<number> = new Set()
const phrase = (fromS: number, toS: number, share: number | null, ...without: number[]): Covered => ({
  fromS,
  toS,
  share,
  shareWithout: Float64Array.of(share ?? 0, ...without),
})

describe('the covered lead', () => {
  it('is found where less than half is heard, weighed by the length of the phrases', () => {
    const found = coveredLead(
      [phrase(0, 2, 0.8, 0.9, 0.9), phrase(2, 3, 0.4, 0.45, 0.6), phrase(4, 7, 0.2, 0.3, 0.8)],
      layers,
      NONE,
    )
    expect(found).toHaveLength(1)
    expect(found[0]).toMatchObject({ kind: 'covered-lead', fromS: 2, toS: 7, unit: 'share' })
    expect(found[0].value).toBeCloseTo((0.4 + 3 * 0.2) / 4, 12)
    expect(found[0].layerIds).toEqual([layers[2].id])
    expect(found[0].kind === 'covered-lead' && found[0].evidence.withoutFirst).toBeCloseTo(0.75, 12)
    expect(found[0].places).toEqual([
      { fromS: 2, toS: 3 },
      { fromS: 4, toS: 7 },
    ])
    expect(found[0].suggestion).toEqual({ act: 'gain', layerId: layers[2].id, gainDb: -6 })
  })

  it('has places of its own more than 3 s apart, the worst first', () => {
    const found = coveredLead([phrase(0, 1, 0.45, 0.6, 0.5), phrase(4.1, 5, 0.3, 0.6, 0.5)], layers, NONE)
    expect(found.map(({ fromS }) => fromS)).toEqual([4.1, 0])
    // A third or more is reached with 3 dB less.
    expect(found[1].suggestion).toEqual({ act: 'gain', layerId: layers[1].id, gainDb: -3 })
  })

  it('names a second layer that covers nearly as much, and never the lead', () => {
    const [{ layerIds }] = coveredLead([phrase(0, 1, 0.3, 0.5, 0.49)], layers, NONE)
    expect(layerIds).toEqual([layers[1].id, layers[2].id])
  })

  it('is no finding at half, without the lead, or through a copy of the lead itself', () => {
    expect(coveredLead([phrase(0, 1, 0.5, 1, 1), phrase(1, 2, null, 0, 0)], layers, NONE)).toEqual([])
    expect(coveredLead([phrase(0, 1, 0.3, 0.5, 0.8)], layers, new Set([2]))).toEqual([])
  })
})
