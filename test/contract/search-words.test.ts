// Where a text matches a search: as SQLite's unicode61 tokenizer compares words, with accents removed
// (https://www.sqlite.org/fts5.html#unicode61_tokenizer).

import { expect, it } from 'vitest'
import { excerptOf, matchesIn, searchWordsOf } from '../../app/contract/text/search-words.ts'

const marked = (text: string, search: string): string[] =>
  matchesIn(text, searchWordsOf(search)).map(({ from, to }) => text.slice(from, to))

it.each([
  ['Mara hook 02', 'ho MAR', ['Mar', 'ho']],
  ['Élan verse', 'elan', ['Élan']],
  ['E\u0301lan verse', 'e', ['E\u0301']],
  ['mara_hook-2', 'mara_hook', ['mara', 'hook']],
  ['shook', 'hook', []],
  ['Ночь', 'ноч', ['Ноч']],
])('%s is marked for "%s"', (text, search, wanted) => {
  expect(marked(text, search)).toEqual(wanted)
})

it('an excerpt is the line of the match, cut at its ends', () => {
  const long = `${'before '.repeat(20)}warm room ${'after '.repeat(40)}`
  const text = `another line\n${long}\nlast`
  const excerpt = excerptOf(text, ['warm'])!
  expect(excerpt).toMatch(/^…(before )+warm room (after ?)+.*…$/)
  expect(excerpt.length).toBeLessThan(160)
  expect(excerptOf('short and warm', ['warm'])).toBe('short and warm')
  expect(excerptOf('cold', ['warm'])).toBeNull()
})
