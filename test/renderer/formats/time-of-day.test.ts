import { expect, it } from 'vitest'
import { parseTimeOfDay } from '../../../renderer/formats/time-of-day.ts'
import { formatTimeOfDay } from '../../../renderer/formats/time-stamp.ts'

it.each([
  ['14:23:05', 14 * 3600 + 23 * 60 + 5],
  ['14:23', 14 * 3600 + 23 * 60],
  ['9.05.01', 9 * 3600 + 5 * 60 + 1],
  [' 0 ', 0],
  ['23:59:59', 86_399],
])('reads %s', (text, seconds) => {
  expect(parseTimeOfDay(text)).toBe(seconds)
  expect(parseTimeOfDay(formatTimeOfDay(seconds))).toBe(seconds)
})

it.each(['24:00', '12:60', '1:2:60', '12:', '', '-1', 'noon', '1:2:3:4', '100'])('refuses %j', (text) => {
  expect(parseTimeOfDay(text)).toBeNull()
})
