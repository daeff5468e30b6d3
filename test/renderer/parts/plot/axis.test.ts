// Axes and scales of plots; expected values by hand.

import { describe, expect, it } from 'vitest'
import {
  axisScale,
  evenAxis,
  FREQUENCY_AXIS,
  frequencyAxis,
  levelAxis,
} from '../../../../renderer/parts/plot/axis.ts'
import { levelScale } from '../../../../renderer/parts/plot/level-scale.ts'

const valuesOf = ({ ticks }: typeof FREQUENCY_AXIS) => ticks.map(({ value }) => value)
const labelsOf = ({ ticks }: typeof FREQUENCY_AXIS) => ticks.flatMap(({ label }) => label ?? [])

describe('the frequency axis', () => {
  it('gives each decade a third of the width from 20 Hz to 20 kHz, and back', () => {
    const x = axisScale(FREQUENCY_AXIS, 0, 300)
    expect([20, 200, 2000, 20_000].map(x)).toEqual([0, 100, 200, 300].map((px) => expect.closeTo(px, 9)))
    expect(x.invert(100)).toBeCloseTo(200, 9)
  })
  it('is ruled at the 31 preferred frequencies of ISO 266:1997 from 20 Hz to 20 kHz, octaves numbered', () => {
    expect(valuesOf(FREQUENCY_AXIS)).toHaveLength(31)
    expect(labelsOf(FREQUENCY_AXIS)).toEqual([
      '31.5',
      '63',
      '125',
      '250',
      '500',
      '1k',
      '2k',
      '4k',
      '8k',
      '16k',
    ])
    expect(valuesOf(frequencyAxis(40))[0]).toBe(40)
  })
})

describe('level axes', () => {
  it('have their first value at the bottom', () => {
    const y = axisScale(evenAxis('dB', -12, 12, 3), 200, 0)
    expect([-12, 0, 12].map(y)).toEqual([200, 100, 0])
  })
  it('are ruled at multiples of the step, signed where asked for', () => {
    expect(labelsOf(evenAxis('dB', -7, 6, 3, true))).toEqual(['−6', '−3', '0', '+3', '+6'])
  })
  it('take the finest round step whose rules lie 26 px apart', () => {
    // 20 dB over 260 px are 13 px a dB: every 2 dB; over 259 px those would be 25.9 px.
    expect(valuesOf(levelAxis('dB', -10, 10, 260))).toEqual([-10, -8, -6, -4, -2, 0, 2, 4, 6, 8, 10])
    expect(valuesOf(levelAxis('dB', -10, 10, 259))).toEqual([-10, -5, 0, 5, 10])
  })
})

describe('a curve between its points', () => {
  it('is straight on a log axis and level beyond its ends', () => {
    const level = levelScale([100, 1000, 10_000], [-12, 0, 6])
    expect(level(100 * Math.sqrt(10))).toBeCloseTo(-6, 9)
    expect([20, 1000, 20_000].map(level)).toEqual([-12, 0, 6])
    expect(levelScale([100], [-3])(5000)).toBe(-3)
  })
})
