import { describe, expect, it } from 'vitest'
import { disorderIn, inOrder, misfitIn, PlannedPassage } from '../../../app/contract/passages/passage.ts'
import { PlannedLayer } from '../../../app/contract/render-plan.ts'
import { passageOf, randomComp } from '../../signals/passages.ts'
import { plannedLayer } from '../../signals/takes.ts'

const List = inOrder(PlannedPassage)
const problemOf = (value: unknown): string => {
  const parsed = List.safeParse(value)
  return parsed.success ? '' : parsed.error.issues.map(({ message }) => message).join()
}
const first = passageOf(0, 1000, { fadeOutFrames: 100, fadeOutCorrelation: 0.5 })
const second = passageOf(900, 500, { take: 1, fadeInFrames: 100, fadeInCorrelation: 0.5 })

describe('passages of a layer', () => {
  it('are taken where neighbours overlap by their fades', () => {
    expect(problemOf([first, second])).toBe('')
    for (let seed = 1; seed <= 20; seed++) expect(problemOf(randomComp(200, 3, 2_000_000, seed))).toBe('')
  })

  it.each<[string, unknown, RegExp]>([
    ['none', [], /./],
    ['too many', Array.from({ length: 2001 }, (_, k) => passageOf(k, 1)), /2000/],
    ['half a frame', [{ ...first, frames: 1000.5 }], /./],
    ['a place that is no number', [{ ...first, atFrame: Number.NaN }], /./],
    ['a correlation beyond 1', [{ ...first, fadeInCorrelation: 1.01 }], /./],
    ['an unknown field', [{ ...first, loop: true }], /./],
    ['a frame before the take', [{ ...first, sourceFrame: -1 }], /./],
    [
      'fades longer than the passage',
      [passageOf(0, 99, { fadeInFrames: 50, fadeOutFrames: 50 })],
      /fades of passage 1/,
    ],
    ['another order', [second, first], /passage 2 begins before passage 1/],
    ['an overlap beside the fades', [first, { ...second, atFrame: 899 }], /overlaps passage 1 by 101 frames/],
    ['two laws', [first, { ...second, fadeInCorrelation: 0 }], /two laws/],
  ])('are refused: %s', (_name, value, sentence) => {
    expect(problemOf(value)).toMatch(sentence)
  })

  it('cannot overlap with three at once', () => {
    const short = passageOf(900, 200, {
      take: 1,
      fadeInFrames: 100,
      fadeInCorrelation: 0.5,
      fadeOutFrames: 100,
    })
    const third = passageOf(990, 500, { fadeInFrames: 110 })
    expect(disorderIn([first, short, third])).not.toBeNull()
    expect(disorderIn([first, short, { ...third, atFrame: 1000, fadeInFrames: 100 }])).toBeNull()
  })

  it('are part of a planned layer, and a layer without them is what it was', () => {
    const layer = plannedLayer(1, 1, 2000)
    expect(PlannedLayer.parse(layer)).toStrictEqual(layer)
    expect('passages' in PlannedLayer.parse(layer)).toBe(false)
    const withOnes = {
      ...layer,
      passages: { furtherTakes: [{ take: layer.take, stages: [] }], list: [first, second] },
    }
    expect(PlannedLayer.parse(withOnes)).toStrictEqual(withOnes)
    expect(PlannedLayer.safeParse({ ...withOnes, passages: { list: [first] } }).success).toBe(false)
  })
})

describe('passages and their takes', () => {
  const misfit = (list: readonly PlannedPassage[], frames = 2000) => misfitIn(list, [frames, frames], 48_000)

  it('fit where every inner edge fades over 2 ms or goes on', () => {
    expect(misfit([passageOf(0, 2000)])).toBeNull()
    expect(misfit([passageOf(0, 700), passageOf(700, 1300)])).toBeNull()
    expect(
      misfit([
        { ...first, fadeOutFrames: 100 },
        { ...second, fadeOutFrames: 96 },
      ]),
    ).toBeNull()
  })

  it.each<[string, readonly PlannedPassage[], RegExp]>([
    [
      'beyond the end of the take',
      [passageOf(1000, 1001)],
      /passage 1 ends at frame 2001 of its take, which has 2000/,
    ],
    ['of no take', [passageOf(0, 10, { take: 2 })], /a take that the layer does not have/],
    ['an open end', [passageOf(0, 1999)], /passage 1 ends within its take/],
    ['1.98 ms', [passageOf(100, 1900, { fadeInFrames: 95 })], /passage 1 begins within its take/],
    ['a step of gain', [passageOf(0, 700), passageOf(700, 1300, { gainDb: -3 })], /clicks/],
    ['another take at the cut', [passageOf(0, 700), passageOf(700, 1300, { take: 1 })], /clicks/],
    ['a moved rest', [passageOf(0, 700), passageOf(700, 1300, { atFrame: 701 })], /clicks/],
  ])('are refused: %s', (_name, list, sentence) => {
    expect(misfit(list)).toMatch(sentence)
  })
})
