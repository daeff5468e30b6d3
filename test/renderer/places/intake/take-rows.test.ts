// Rows of Intake's table: filtered by several words, sorted with missing values last.

import { expect, it } from 'vitest'
import {
  filteredRows,
  sortedRows,
  type TakeRow,
  takeRows,
} from '../../../../renderer/places/intake/take-rows.ts'

const take = (id: number, name: string, loudness: number | null, finding?: string) => ({
  id,
  name,
  voiceId: id === 1 ? 5 : null,
  micId: null,
  facts: { integratedLufs: loudness, findings: finding === undefined ? [] : [{ kind: finding }] },
})
const rows = takeRows({
  takes: [
    take(1, 'Élan lead', -20, 'noise-floor'),
    take(2, 'take 10', null),
    take(3, 'take 9', -30, 'hum'),
  ] as never,
  layers: [{ takeId: 1, role: 'lead' }] as never,
  voices: [{ id: 5, name: 'Rap' }] as never,
  mics: [],
  missing: new Set([3]),
})
const ids = (list: readonly TakeRow[]): number[] => list.map(({ id }) => id)
const loudness = ({ take: one }: TakeRow): number | null => one.facts.integratedLufs

it.each([
  ['', [1, 2, 3]],
  ['elan', [1]],
  ['noise rap', [1]],
  ['hum rap', []],
  ['not placed', [2, 3]],
  ['HUM', [3]],
  ['missing', [3]],
])('the filter "%s" leaves %j', (filter, wanted) => {
  expect(ids(filteredRows(rows, filter))).toEqual(wanted)
})

it('sorts by numbers and by names as people count, with missing values last both ways', () => {
  const sort = (isDescending: boolean) => ({ column: 'x', isDescending })
  expect(ids(sortedRows(rows, null, loudness))).toEqual([1, 2, 3])
  expect(ids(sortedRows(rows, sort(false), loudness))).toEqual([3, 1, 2])
  expect(ids(sortedRows(rows, sort(true), loudness))).toEqual([1, 3, 2])
  expect(ids(sortedRows(rows, sort(false), ({ take: one }) => one.name))).toEqual([1, 3, 2])
})
