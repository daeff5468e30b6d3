// Which sample is heard now, by the output's stamp, and what is used where there is none (Web Audio API 1.1).

import { expect, it } from 'vitest'
import { heardLatencySeconds } from '../../../renderer/playback/heard-latency.ts'

const clock = (stamp: { contextTime?: number; performanceTime?: number } | null) => ({
  currentTime: 10,
  baseLatency: 0.01,
  outputLatency: 0.03,
  ...(stamp === null ? {} : { getOutputTimestamp: () => stamp }),
})

it('carries the stamp on to now: 30 ms after it, 30 ms more are heard', () => {
  const stamped = clock({ contextTime: 9.9, performanceTime: 5000 })
  expect(heardLatencySeconds(stamped, 5000)).toBeCloseTo(0.1, 9)
  expect(heardLatencySeconds(stamped, 5030)).toBeCloseTo(0.07, 9)
})

it('never hears what is not mixed yet', () => {
  expect(heardLatencySeconds(clock({ contextTime: 9.9, performanceTime: 5000 }), 5900)).toBe(0)
})

it.each([
  ['is missing', null],
  ['is empty before the first sound', {}],
  ['is of a clock that stands still', { contextTime: 0, performanceTime: 0 }],
  ['is seconds late', { contextTime: 1, performanceTime: 5000 }],
])('uses the latencies that the browser reports where the stamp %s', (_, stamp) => {
  expect(heardLatencySeconds(clock(stamp), 5000)).toBeCloseTo(0.04, 9)
})
