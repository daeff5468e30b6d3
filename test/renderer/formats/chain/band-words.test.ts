import { expect, it } from 'vitest'
import { freeFrequency, nameOfBand, strandColourAt } from '../../../../renderer/formats/chain/band-words.ts'

it('names a band by what it does', () => {
  const name = (shape: 'bell' | 'low-shelf' | 'high-shelf', frequencyHz: number, gainDb: number) =>
    nameOfBand({ shape, frequencyHz, gainDb }).replaceAll('\u202f', ' ')
  expect(name('bell', 315, -3)).toBe('cut 315 Hz')
  expect(name('bell', 3150, 2)).toBe('boost 3.15 kHz')
  expect(name('high-shelf', 8000, 3)).toBe('boost above 8 kHz')
  expect(name('low-shelf', 125, -1)).toBe('cut below 125 Hz')
  expect(name('bell', 1000, 0)).toBe('flat 1 kHz')
})

it('gives a band the colour of the strand it stands in', () => {
  expect([100, 150, 315, 1000, 3150, 8000, 10_000, 16_000].map(strandColourAt)).toEqual(
    ['rumble', 'mud', 'mud', 'body', 'edge', 'sibilance', 'air', 'air'].map(
      (name) => `var(--strand-${name})`,
    ),
  )
})

it('places a new band in the widest gap', () => {
  expect(freeFrequency([])).toBeCloseTo(1000)
  // From 400 Hz to 10 kHz are 4.6 octaves, from 100 to 400 Hz two.
  expect(freeFrequency([{ frequencyHz: 400 }])).toBeCloseTo(2000)
  expect(freeFrequency([{ frequencyHz: 1000 }, { frequencyHz: 8000 }])).toBeCloseTo(Math.sqrt(1e5), 3)
})
