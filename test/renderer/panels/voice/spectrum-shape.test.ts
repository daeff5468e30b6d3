// Third-octave levels for drawing.

import { expect, it } from 'vitest'
import {
  levelBetween,
  levelSpan,
  pieceOf,
  pointsOf,
  VOICE_BANDS_HZ,
} from '../../../../renderer/panels/voice/spectrum-shape.ts'

it('has the 26 third octaves from 50 Hz to 16 kHz (ISO 266)', () => {
  expect(VOICE_BANDS_HZ).toHaveLength(26)
  expect(VOICE_BANDS_HZ.slice(0, 4)).toEqual([50, 63, 80, 100])
  expect(VOICE_BANDS_HZ.at(-1)).toBe(16_000)
})

it('leaves out bands without a level', () => {
  expect(pointsOf([null, -40, null, -30])).toEqual([
    { frequencyHz: 63, levelDb: -40 },
    { frequencyHz: 100, levelDb: -30 },
  ])
})

const slope = [
  { frequencyHz: 100, levelDb: -20 },
  { frequencyHz: 400, levelDb: -40 },
]

it('interpolates on a log axis, and is null beyond its ends', () => {
  expect(levelBetween(slope, 200)).toBeCloseTo(-30, 9)
  expect(levelBetween(slope, 99)).toBeNull()
  expect(levelBetween(slope, 401)).toBeNull()
})

it('cuts a part with interpolated ends', () => {
  const piece = pieceOf(slope, 0, 200)
  expect(piece.map(({ frequencyHz }) => frequencyHz)).toEqual([100, 200])
  expect(piece[1].levelDb).toBeCloseTo(-30, 9)
  expect(pieceOf(slope, 500, 900)).toEqual([])
  expect(pieceOf([], 0, 900)).toEqual([])
})

it('spans steps of 10 dB, within the given limit', () => {
  expect(levelSpan([-31, null, -58], 70)).toEqual({ fromDb: -70, toDb: -20 })
  expect(levelSpan([-31, -140], 70)).toEqual({ fromDb: -90, toDb: -20 })
  expect(levelSpan([null], 70)).toEqual({ fromDb: -80, toDb: -20 })
})
