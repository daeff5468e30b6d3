// Labels of marks in a plot: none covers another one or a mark, and all are within the field.

import { describe, expect, it } from 'vitest'
import { type LabelledMark, placeLabels } from '../../../../renderer/parts/plot/place-labels.ts'

const FIELD = { left: 46, right: 520, top: 22, bottom: 200 }
const LINE_PX = 16
const ASCENT_PX = 12
const mark = (x: number, y: number, isAbove = y < 110): LabelledMark => ({ x, y, widthPx: 80, isAbove })

function boxesOf(marks: readonly LabelledMark[]) {
  return placeLabels(marks, FIELD).map(({ x, y }, index) => ({
    left: x - marks[index].widthPx / 2,
    right: x + marks[index].widthPx / 2,
    top: y - ASCENT_PX,
    bottom: y - ASCENT_PX + LINE_PX,
  }))
}

describe('placeLabels', () => {
  it('puts a label above a boost and below a cut', () => {
    const [boost, cut] = placeLabels([mark(100, 80), mark(300, 150)], FIELD)
    expect(boost).toMatchObject({ x: 100 })
    expect(boost.y).toBeLessThan(80)
    expect(cut.y).toBeGreaterThan(150)
  })

  // 7.2 and 8.3 kHz are 10 px apart on an axis of 470 px from 20 Hz to 20 kHz.
  it.each([
    ['two marks side by side', [mark(443, 130), mark(453, 135)]],
    ['three marks on one spot', [mark(440, 130), mark(441, 130), mark(442, 130)]],
    ['marks in all corners', [mark(46, 22), mark(520, 22), mark(46, 200), mark(520, 200)]],
    ['a row of cuts', [0, 1, 2, 3, 4, 5].map((k) => mark(100 + 30 * k, 120, false))],
  ])('keeps labels apart and in the field: %s', (_, marks) => {
    const boxes = boxesOf(marks)
    for (const [index, a] of boxes.entries()) {
      expect(a.left).toBeGreaterThanOrEqual(FIELD.left)
      expect(a.right).toBeLessThanOrEqual(FIELD.right)
      expect(a.top).toBeGreaterThanOrEqual(FIELD.top)
      expect(a.bottom).toBeLessThanOrEqual(FIELD.bottom)
      for (const b of boxes.slice(index + 1)) {
        const isApart = a.right <= b.left || b.right <= a.left || a.bottom <= b.top || b.bottom <= a.top
        expect(isApart, JSON.stringify([a, b])).toBe(true)
      }
    }
  })
})
