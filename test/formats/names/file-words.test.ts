// Names of files from titles of any kind: only letters and digits of ASCII, never a device of
// Windows, never two alike. Reserved names are those of Python's ntpath.isreserved (3.13).

import naughty from 'big-list-of-naughty-strings' with { type: 'json' }
import { describe, expect, it } from 'vitest'
import { createRandom } from '../../../app/dsp/maths/random.ts'
import { distinctFileName, fileWord } from '../../../app/formats/names/file-words.ts'

const TAIL = '48k24b.wav'
const LEGAL = /^[A-Za-z0-9][A-Za-z0-9_-]*\.wav$/
const DEVICE = /^(con|prn|aux|nul|conin\$|conout\$|com[0-9¹²³]|lpt[0-9¹²³])$/i

const nameOf = (title: string, taken = new Set<string>()): string =>
  distinctFileName(taken, [fileWord('Night Train'), fileWord(title)], TAIL)

describe('a word of a file name', () => {
  it.each([
    ['lead double', 'LeadDouble'],
    ['NIGHT train', 'NIGHTTrain'],
    ['lead.', 'Lead'],
    ['lead ', 'Lead'],
    ['.x', 'X'],
    ['-rf', 'Rf'],
    ['~a', 'A'],
    ['a:b', 'AB'],
    ['a?b', 'AB'],
    ['a/b', 'AB'],
    ['a\\b', 'AB'],
    ['a\tb\u007f', 'AB'],
    ['Straße', 'Strasse'],
    ['caf\u00e9', 'Cafe'],
    ['cafe\u0301', 'Cafe'],
    ['İstanbul ısı', 'IstanbulIsi'],
    ['Ærø Łódź Đà Þór œuvre', 'AeroLodzDaThorOeuvre'],
    ['ＡＢＣ１２', 'ABC12'],
    ['½ time', '12Time'],
    ['%41', '41'],
    ['100%', '100'],
    ['a\u200bb\u202ec', 'Abc'],
    ['', 'Untitled'],
    ['...', 'Untitled'],
  ])('of "%s" is %s', (title, word) => {
    expect(fileWord(title)).toBe(word)
  })

  it.each(['con', 'NUL', 'PRN', 'aux', 'COM1', 'COM¹', 'LPT9', 'lpt³'])('is no device: %s', (title) => {
    expect(fileWord(title)).toMatch(/^[A-Za-z0-9]+$/)
    expect(fileWord(title)).not.toMatch(DEVICE)
    expect(fileWord(title).toLowerCase()).toContain(title.normalize('NFKD').toLowerCase())
  })

  it.each(['한글', '東京', '😀', '👩‍🎤', 'مرحبا', '٣'])(
    'of %s is X and a hash, and keeps what is ASCII',
    (title) => {
      expect(fileWord(title)).toMatch(/^X[0-9a-f]{4}$/)
      expect(fileWord(`${title} take 2`)).toBe(`${fileWord(title)}Take2`)
      expect(fileWord(title)).toBe(fileWord(title.normalize('NFD')))
    },
  )

  it('differs where the scripts do', () => {
    expect(new Set(['한글', '東京', '大阪', '😀', '😎'].map(fileWord)).size).toBe(5)
  })
})

describe('a file name', () => {
  it('is numbered where only case, accents or folding differ', () => {
    const taken = new Set<string>()
    expect(['Lead', 'LEAD', 'léad', 'Straße', 'STRASSE'].map((title) => nameOf(title, taken))).toEqual([
      'NightTrain_Lead_48k24b.wav',
      'NightTrain_LEAD2_48k24b.wav',
      'NightTrain_Lead3_48k24b.wav',
      'NightTrain_Strasse_48k24b.wav',
      'NightTrain_STRASSE2_48k24b.wav',
    ])
  })

  it.each([
    ['256 a', 'a'.repeat(256)],
    ['128 é', 'é'.repeat(128)],
    ['200 words', 'la '.repeat(200)],
  ])('of %s is cut to 80 characters and still told apart', (_what, title) => {
    const taken = new Set<string>()
    const names = Array.from({ length: 12 }, () => nameOf(title, taken))
    expect(new Set(names).size).toBe(12)
    for (const name of names) {
      expect(name).toMatch(LEGAL)
      expect(name).toHaveLength(80)
      expect(name).toMatch(/^NightTrain_/)
    }
  })

  it('of two long titles keeps the beginning of both', () => {
    const name = distinctFileName(new Set(), [fileWord('s'.repeat(200)), fileWord('Lead')], TAIL)
    expect(name).toMatch(/^Ss+_Lead_48k24b\.wav$/)
    expect(name).toHaveLength(80)
  })

  it('of every naughty string is legal, distinct and the same again', () => {
    expect(naughty.length).toBeGreaterThan(400)
    expectLegal(naughty)
  })

  it('of 10,000 random titles, three times, is legal, distinct and the same again', () => {
    const random = createRandom(42)
    const pick = (most: number): number => Math.floor(random.uniform() * most)
    const letter = (): string => {
      switch (pick(6)) {
        case 0:
          return String.fromCharCode(pick(0x80))
        case 1:
          return String.fromCharCode(pick(0x250))
        case 2:
          // Halves of surrogate pairs among them.
          return String.fromCharCode(pick(0x10000))
        case 3:
          return String.fromCodePoint(pick(0x110000))
        default:
          return String.fromCharCode(0x61 + pick(26))
      }
    }
    for (let round = 0; round < 3; round++) {
      expectLegal(
        Array.from({ length: 10_000 }, () =>
          Array.from({ length: pick(round === 2 ? 300 : 12) }, letter).join(''),
        ),
      )
    }
  })
})

function expectLegal(titles: readonly string[]): void {
  const [taken, again] = [new Set<string>(), new Set<string>()]
  const names = titles.map((title) => nameOf(title, taken))
  expect(new Set(names.map((name) => name.toLowerCase())).size).toBe(titles.length)
  expect(titles.map((title) => nameOf(title, again))).toEqual(names)
  for (const name of names) {
    if (!LEGAL.test(name) || name.length > 80 || DEVICE.test(name.split(/[_.]/)[0])) {
      expect.fail(`${name} is no name for a file`)
    }
  }
  for (const title of titles) if (DEVICE.test(fileWord(title))) expect.fail(`${title} becomes a device`)
}
