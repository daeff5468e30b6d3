// Session time as the transport shows it.

import { expect, it } from 'vitest'
import { formatPlayTime } from '../../../renderer/formats/play-time.ts'

it.each([
  [0, 48_000, '0:00.000'],
  [48, 48_000, '0:00.001'],
  [2_976_000 + 16_560, 48_000, '1:02.345'],
  [48_000 * 3600, 48_000, '60:00.000'],
  [-24_000, 48_000, '−0:00.500'],
  [-1, 96_000, '0:00.000'],
  [44_100, 44_100, '0:01.000'],
  // 59.9996 s is a minute, not 0:60.000.
  [2_879_981, 48_000, '1:00.000'],
])('%i frames at %i Hz are %s', (frames, sampleRateHz, text) => {
  expect(formatPlayTime(frames, sampleRateHz)).toBe(text)
})
