import { describe, expect, it } from 'vitest'
import { fill, newTake } from './entries.ts'
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

  it('finds by artist, voice, mic, song, note and finding, in one search, and says where', () => {
    const catalogue = openForTest()
    const { take, artist } = fill(catalogue)
    const find = (search: string) => catalogue.foundTakes.list({ search, limit: 9, offset: 0 })
    const other = catalogue.takes.insert(newTake('other', { facts: { ...take.facts, findings: [] } }))
    for (const text of ['angstrom', 'ZOE', '歌', 'großmem', 'ночь', '夜', 'приятно', 'clip', 'refrao'])
      expect([text, find(text).map(({ id }) => id)]).toEqual([text, [take.id]])
    // Every word must match, each in any field.
    expect(find('zoe clip refrao großmembran')).toHaveLength(1)
    expect(find('zoe clip hum')).toEqual([])
    expect(find('other').map(({ id }) => id)).toEqual([other.id])
    expect(find('clip')[0].matched).toEqual([{ field: 'finding', text: 'clipping' }])
    expect(find('приятно')[0].matched).toEqual([{ field: 'note', text: 'приятно 🎙️' }])
    expect(find('takes')[1].matched).toEqual([{ field: 'folder', text: '/takes/' }])
    expect(find('zoe')[0].matched).toEqual([])
    expect(find(artist.name)).toHaveLength(1)
  })

  it('follows names, notes, and what a take belongs to', () => {
    const catalogue = openForTest()
    const { take, mic, voice, session, song, artist } = fill(catalogue)
    const count = (search: string): number =>
      catalogue.foundTakes.list({ search, limit: 9, offset: 0 }).length
    catalogue.mics.update(mic.id, { name: 'Ribbon' })
    catalogue.sessions.update(session.id, { notes: 'warm room' })
    expect(['ribbon', 'großmembran', 'warm', 'b'].map(count)).toEqual([1, 0, 1, 0])
    catalogue.takes.update(take.id, { micId: null, curveId: null, voiceId: null })
    expect(['ribbon', voice.name].map(count)).toEqual([0, 0])
    // Without a voice, a take belongs to the artist of its session.
    expect([artist.name, song.title].map(count)).toEqual([1, 1])
  })

  it('does not find the random folders of files that a browser has sent', () => {
    const { takes, foundTakes } = openForTest()
    takes.insert(newTake('verse', { path: 'incoming/5kq/verse.wav' }))
    const count = (search: string): number => foundTakes.list({ search, limit: 9, offset: 0 }).length
    expect(['5', 'incoming', 'verse'].map(count)).toEqual([0, 0, 1])
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
