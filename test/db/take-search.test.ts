import { describe, expect, it } from 'vitest'
import { newTake } from './entries.ts'
import { openForTest } from './open-for-test.ts'

const NAMES = [
  'Mara_hook 01',
  'Mara hook 02 (double)',
  'Élan verse',
  'Elan verse'.normalize('NFD'),
  '夜の歌 lead',
  'Straße ad-lib',
  'hook NEAR "verse"',
]

function search(text: string): string[] {
  const { takes, foundTakes } = openForTest()
  for (const name of NAMES) takes.insert(newTake(name, { path: `/Takes 2026/${name}.wav` }))
  return foundTakes.list({ search: text, limit: 100, offset: 0 }).map((take) => take.name)
}
const newestFirst = [...NAMES].reverse()

describe('searching takes', () => {
  it.each([
    ['nothing typed', '', newestFirst],
    ['only marks typed', ' – "* ', newestFirst],
    ['beginnings of words, in any order', '02 mar', [NAMES[1]]],
    ['a word with marks as a phrase', 'mara_hook', [NAMES[1], NAMES[0]]],
    ['letters without their accents', 'elan', [NAMES[3], NAMES[2]]],
    ['letters with accents, composed or not', 'É'.normalize('NFD'), [NAMES[3], NAMES[2]]],
    ['the beginning of a run of another script', '夜の', [NAMES[4]]],
    ['any case', 'STRASSE', []],
    ['any case, same letters', 'straße AD', [NAMES[5]]],
    ['the query language as words', 'hook NEAR "verse"', [NAMES[6]]],
    ['an unclosed quote and a NUL', 'near"\0hook', [NAMES[6]]],
    ['a column filter as words', 'name:hook', []],
    ['a word of the path', '2026', newestFirst],
    ['a middle of a word', 'ook', []],
  ])('finds by %s', (_, text, names) => {
    expect(search(text)).toEqual(names)
  })

  it('takes a thousand words', () => {
    expect(search('mara '.repeat(1000))).toEqual([NAMES[1], NAMES[0]])
  })

  it('follows a changed name and path', () => {
    const { takes, foundTakes } = openForTest()
    const take = takes.insert(newTake('before'))
    takes.update(take.id, { name: 'after' })
    takes.moveTo(take.id, '/elsewhere/x.wav')
    const find = (text: string) => foundTakes.list({ search: text, limit: 9, offset: 0 }).length
    expect([find('before'), find('after'), find('elsewhere')]).toEqual([0, 1, 1])
  })

  it('gives pages that join up, searched or not', () => {
    const { takes, foundTakes } = openForTest()
    for (let n = 0; n < 7; n++) takes.insert(newTake(`take ${n}`))
    for (const text of ['', 'take']) {
      const ids = [0, 3, 6, 9].flatMap((offset) =>
        foundTakes.list({ search: text, limit: 3, offset }).map((take) => take.id),
      )
      expect(ids).toEqual([7, 6, 5, 4, 3, 2, 1])
    }
  })
})
