import { expect, it } from 'vitest'
import { Name } from '../../app/contract/text/bounded.ts'
import { MAX_NAME } from '../../app/contract/text/limits.ts'

it.each([
  ['  Mara Vale\n', 'Mara Vale'],
  ['Mara\tVale', 'Mara Vale'],
  // Unicode Standard Annex 15: e with a combining acute accent is composed.
  ['Rene\u0301', 'Ren\u00e9'],
  // Unicode Standard Annex 9: an override would turn the text behind the name.
  ['Mara\u202Eelav', 'Maraelav'],
  ['a\u200Bb', 'ab'],
  // Joiners belong to emoji and to Persian.
  ['👩\u200D🎤', '👩\u200D🎤'],
  ['\u202Bדנה\u202C', 'דנה'],
  ['東京', '東京'],
])('%j is stored as %j', (typed, stored) => {
  expect(Name.parse(typed)).toBe(stored)
})

it.each([
  '',
  '  ',
  '\u200B',
  '\u2800',
  '\u3164\u3164',
  '\u0007\u0008',
  '\u200D',
  '\uFEFF',
  'a\0b',
  'a\uD800',
  'x'.repeat(MAX_NAME + 1),
])('refuses %j', (typed) => {
  expect(Name.safeParse(typed).success).toBe(false)
})
