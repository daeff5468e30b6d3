// What is typed into the search field of a long list: the start of words in an item's name and detail.

import { describe, expect, it } from 'vitest'
import { isMeant } from '../../../renderer/parts/fields/meant-item.ts'

const SESSION = { name: 'Invented Song 7 · Maren Oru', detail: 'Mar 7, 2026, 3 takes, created 5:24 PM' }

describe('an item of a long list', () => {
  it.each(['', 'maren', 'oru inv', 'mar 7', '2026 7', 'song 7', '5:24', '5:2', '5:'])(
    'is found by %j',
    (typed) => {
      expect(isMeant(SESSION, typed)).toBe(true)
    },
  )

  // A list found every session that was created 24 minutes past an hour.
  it.each(['24', 'maren 24', '5', ':24', '5:25', 'aren'])('is not found by %j', (typed) => {
    expect(isMeant(SESSION, typed)).toBe(false)
  })
})
