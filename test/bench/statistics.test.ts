// What the benchmark tells has to be right even though nothing judges it: middles, pairs,
// the self times of a profile, and the words of a call.

import { expect, it } from 'vitest'
import { parseOptions, SECTION_IDS } from './options.ts'
import { selfTimes } from './self-times.ts'
import { quantileOf, ratiosOf, spreadOf } from './statistics.ts'

it('takes the middle of an odd and of an even series, whatever their order', () => {
  expect(spreadOf([5, 1, 10])).toEqual({ median: 5, least: 1, most: 10 })
  expect(spreadOf([4, 1, 10, 2])).toEqual({ median: 3, least: 1, most: 10 })
  expect(() => spreadOf([])).toThrow(RangeError)
})

it('pairs ours with theirs of the same round, so that a slow round of both cancels', () => {
  expect(ratiosOf([1, 10], [2, 20])).toEqual([0.5, 0.5])
})

const node = (id: number, functionName: string, url = '', children: number[] = []) => ({
  id,
  callFrame: { functionName, scriptId: '1', url, lineNumber: 0, columnNumber: 0 },
  children,
})
const profile = { startTime: 0, endTime: 10_000, samples: [2, 1, 3, 2], timeDeltas: [500, 3000, 4000, 1000] }

it('gives every sample of a profile the time until the next one, and leaves idling out', () => {
  const nodes = [node(1, '(idle)'), node(2, 'rise'), node(3, 'fall')]
  expect(selfTimes({ ...profile, nodes }, new Map())).toEqual([
    { name: 'rise', place: '', selfMs: 3, percent: 75 },
    { name: 'fall', place: '', selfMs: 1, percent: 25 },
  ])
})

it('calls a WebAssembly function by its name, also where only the way in to it was seen', () => {
  const nodes = [
    node(1, '(idle)'),
    node(2, 'js-to-wasm:ii:', 'wasm://wasm/0', [3]),
    node(3, 'wasm-function[7]', 'wasm://wasm/0'),
  ]
  expect(selfTimes({ ...profile, nodes }, new Map([['7', 'halveRate']]))).toEqual([
    { name: 'halveRate', place: 'WebAssembly', selfMs: 4, percent: 100 },
  ])
})

it('picks sections in any case, runs all without a word, and says what it does not know', () => {
  expect(parseOptions(['--only', 's1,Stages'])).toMatchObject({
    only: ['S1', 'stages'],
    rounds: 5,
    json: false,
  })
  const withoutLong = SECTION_IDS.filter((id) => id !== 'S4-600')
  expect(parseOptions([])).toMatchObject({ only: withoutLong, long: false })
  expect(parseOptions(['--long'])).toMatchObject({ only: SECTION_IDS, long: true })
  expect(() => parseOptions(['--only', 'S99'])).toThrow('--only knows')
  expect(() => parseOptions(['--rounds', '0'])).toThrow('whole number')
})

it('takes the tail of a series from its end, the greatest for all of it', () => {
  const series = [5, 1, 4, 2, 3, 6, 7, 8, 9, 10]
  expect([0, 0.5, 0.95, 1].map((share) => quantileOf(series, share))).toEqual([1, 6, 10, 10])
  expect(series[0]).toBe(5)
})
