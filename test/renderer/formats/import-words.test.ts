// What an import did, in words.

import { expect, it } from 'vitest'
import { importWords } from '../../../renderer/formats/import-words.ts'

it.each([
  [1, 0, 0, '1 take imported'],
  [12, 1, 0, '12 takes imported'],
  [12, 0, 28, '12 of 40 were imported, then you cancelled'],
  [1, 2, 37, '1 of 40 was imported, then you cancelled'],
  [0, 2, 38, 'None of 40 was imported, then you cancelled'],
])('%d taken, %d refused, %d not reached: %s', (taken, refused, notReached, words) => {
  expect(importWords({ taken, refused: Array(refused), notReached })).toBe(words)
})
