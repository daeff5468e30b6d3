// The river's picture tells the measured levels: thickness by the stated scale, everything
// inside its banks, strands in their order and without overlap.

import { describe, expect, it } from 'vitest'
import {
  scaleFor,
  strandsOf,
  thicknessPx,
} from '../../../../../renderer/places/chain/river/river-geometry.ts'

const JOINTS = [
  [-42.9, -32.3, -39.1, -56.9, -52.6, -61.4],
  [-44.3, -33.8, -40.5, -57.7, -52.2, null],
]
const FRAME = { jointsX: [150, 270], topY: 8, heightPx: 148 }

/** Top and bottom of a strand at the first and the last joint, read out of its path. */
function bordersOf(path: string): { left: [number, number]; right: [number, number] } {
  const numbers = path.match(/-?\d+(\.\d+)?/g)!.map(Number)
  // M x y, C six, L x y, C six.
  return { left: [numbers[1], numbers.at(-1)!], right: [numbers[7], numbers[9]] }
}

describe('the river', () => {
  it('doubles in thickness with every 10 dB', () => {
    const scale = scaleFor(JOINTS, 148)
    expect(thicknessPx(-30, scale) / thicknessPx(-40, scale)).toBeCloseTo(2, 9)
    expect(thicknessPx(-32.3, scale) / thicknessPx(-33.8, scale)).toBeCloseTo(10 ** (0.15 * Math.log10(2)), 9)
    expect(thicknessPx(null, scale)).toBeLessThan(1)
  })

  it('draws each strand as thick as its level at each joint', () => {
    const scale = scaleFor(JOINTS, 148)
    for (const [index, { path }] of strandsOf(JOINTS, scale, FRAME).entries()) {
      const { left, right } = bordersOf(path)
      expect(left[1] - left[0]).toBeCloseTo(thicknessPx(JOINTS[0][index], scale), 1)
      expect(right[1] - right[0]).toBeCloseTo(thicknessPx(JOINTS[1][index], scale), 1)
    }
  })

  it('stays inside its banks and fills at least half of them', () => {
    const strands = strandsOf(JOINTS, scaleFor(JOINTS, FRAME.heightPx), FRAME)
    const borders = strands.map(({ path }) => bordersOf(path))
    const top = Math.min(...borders.map(({ left }) => left[0]))
    const bottom = Math.max(...borders.map(({ left }) => left[1]))
    expect(top).toBeGreaterThanOrEqual(FRAME.topY)
    expect(bottom).toBeLessThanOrEqual(FRAME.topY + FRAME.heightPx)
    expect(bottom - top).toBeGreaterThan(FRAME.heightPx / 2)
  })

  it('lets rumble flow at the bottom and air on top, none over another', () => {
    const borders = strandsOf(JOINTS, scaleFor(JOINTS, 148), FRAME).map(({ path }) => bordersOf(path))
    for (let i = 1; i < borders.length; i++) {
      expect(borders[i].left[1]).toBeLessThan(borders[i - 1].left[0])
      expect(borders[i].right[1]).toBeLessThan(borders[i - 1].right[0])
    }
  })

  it('draws a chain that has not been measured as hairlines', () => {
    const nothing = [[null, null, null, null, null, null]]
    const strands = strandsOf(nothing, scaleFor(nothing, 148), { ...FRAME, jointsX: [0] })
    expect(strands).toHaveLength(6)
    expect(strands.every(({ path }) => !path.includes('NaN'))).toBe(true)
  })
})
