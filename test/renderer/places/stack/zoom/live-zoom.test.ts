// Where a zoom by wheel comes to: the middle stays, as far as the song goes.

import { describe, expect, it } from 'vitest'
import { zoomedFrom } from '../../../../../renderer/places/stack/zoom/live-zoom.ts'

/** A song of 100 s, which fits the lanes at 8 px per second. */
const BOUNDS = { wholeSongPxPerSecond: 8, closestPxPerSecond: 4000, laneWidth: 800, seconds: 100 }
const START = { pxPerSecond: 40, scrollLeft: 1000 }
/** The second of the song under a place of the view, by what the lanes hold. */
const secondAt = (viewPx: number, { pxPerSecond, scrollLeft }: typeof START): number =>
  (scrollLeft + viewPx) / pxPerSecond

describe('a zoom by wheel', () => {
  it('keeps the middle of the view in place', () => {
    for (const factor of [0.6, 1, 1.3, 2]) {
      const to = zoomedFrom(START, factor, BOUNDS)
      expect(to.pxPerSecond).toBeCloseTo(40 * factor, 9)
      expect(secondAt(400, to)).toBeCloseTo(secondAt(400, START), 9)
    }
  })

  it('stretches what is drawn to where it is drawn afterwards', () => {
    for (const factor of [0.3, 0.7, 1.4, 2]) {
      for (const scrollLeft of [0, 900, 3200]) {
        const start = { pxPerSecond: 40, scrollLeft }
        const to = zoomedFrom(start, factor, BOUNDS)
        for (const second of [0, 20, 60, 100]) {
          const stretched = second * start.pxPerSecond * to.scale + to.shiftPx - start.scrollLeft
          expect(stretched).toBeCloseTo(second * to.pxPerSecond - to.scrollLeft, 6)
        }
      }
    }
  })

  it('stays within its bounds, and shows nothing beyond its ends', () => {
    expect(zoomedFrom(START, 1e-3, BOUNDS)).toMatchObject({ pxPerSecond: 8, scrollLeft: 0 })
    expect(zoomedFrom(START, 1e6, BOUNDS).pxPerSecond).toBe(4000)
    expect(zoomedFrom({ pxPerSecond: 40, scrollLeft: 0 }, 0.5, BOUNDS).scrollLeft).toBe(0)
    expect(zoomedFrom({ pxPerSecond: 40, scrollLeft: 3200 }, 0.5, BOUNDS).scrollLeft).toBe(2000 - 800)
  })
})
