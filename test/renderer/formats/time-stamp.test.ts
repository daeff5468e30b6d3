// Time stamps as places in a song: in it, outside of it, and the start that a session would need.

import { describe, expect, it } from 'vitest'
import {
  formatStampDistance,
  formatTimeOfDay,
  formatTimeStamp,
  stampedPlace,
  startForStamps,
} from '../../../renderer/formats/time-stamp.ts'

const session = { startOfDayS: 3600, sampleRateHz: 48_000 } as const
const at = (seconds: number, sampleRateHz = 44_100) => ({
  sampleRateHz,
  timeReferenceSamples: Math.round(seconds * sampleRateHz),
})

it('a take of 44.1 kHz at 1 h and 17 bars of 4/4 at 90 BPM lies 17 bars after the start, at the session’s rate', () => {
  // 17 × 4 × 60/90 s = 45.333… s
  expect(stampedPlace(at(3600 + (17 * 4 * 60) / 90), session)).toEqual({
    offsetSamples: 2_176_000,
    isInSong: true,
    isReachable: true,
  })
})

it.each([
  ['half a minute before the start', 3570, true, true],
  ['a minute before the start', 3540, false, true],
  ['20 minutes after it', 3600 + 1200, true, true],
  ['21 minutes after it', 3600 + 1260, false, true],
  ['in the afternoon', 15 * 3600, false, false],
])('%s', (_, seconds, isInSong, isReachable) => {
  expect(stampedPlace(at(seconds), session)).toMatchObject({ isInSong, isReachable })
})

describe('a stamp past midnight', () => {
  const late = { startOfDayS: 86_390, sampleRateHz: 48_000 } as const
  it('lies after the start of a session that began before midnight', () => {
    // From 23:59:50 to 00:00:05 are 15 s.
    expect(stampedPlace(at(5), late)).toEqual({ offsetSamples: 720_000, isInSong: true, isReachable: true })
  })
  it('is one of the day before where that is nearer', () => {
    // 12 h before 23:59:50 is 11:59:50.
    const hours = (seconds: number) => (stampedPlace(at(seconds), late)?.offsetSamples ?? 0) / 48_000 / 3600
    expect(hours(43_190)).toBe(-12)
    expect(hours(43_189)).toBeCloseTo(12 - 1 / 3600, 9)
  })
  it('lets the session start at the first of the evening', () => {
    expect(startForStamps([at(5), at(86_390.5)])).toBe(86_390)
  })
})

it('no stamp, or one of zero, is no place', () => {
  expect(stampedPlace({ sampleRateHz: 48_000, timeReferenceSamples: null }, session)).toBeNull()
  expect(stampedPlace(at(0), session)).toBeNull()
})

describe('the start for stamps', () => {
  it('is the whole second of the first one', () => {
    expect(startForStamps([at(35_893.4), at(35_892.7), { ...at(0), timeReferenceSamples: null }])).toBe(
      35_892,
    )
  })
  it('is none without stamps, and where they are no song', () => {
    expect(startForStamps([at(0)])).toBeNull()
    expect(startForStamps([at(3600), at(3600 + 1201)])).toBeNull()
  })
})

it('distances and times of day', () => {
  const far = (seconds: number) =>
    formatStampDistance(seconds * 48_000, session).replaceAll(/[\u00a0\u2009\u202f]/g, ' ')
  expect(far(-7973)).toBe('2 h 13 min before the start')
  expect(far(7200)).toBe('2 h after the start')
  expect(far(1500)).toBe('25 min after the start')
  expect(far(61)).toBe('1 min 1 s after the start')
  expect(far(0.36)).toBe('0.4 s after the start')
  expect(formatTimeOfDay(35_892)).toBe('09:58:12')
  expect(formatTimeStamp(3645.333)).toBe('01:00:45.333')
})
