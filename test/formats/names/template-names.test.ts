// Names of delivered files from templates (D4): legal on any disk, distinct where case is ignored, stable, and bounded.

import naughty from 'big-list-of-naughty-strings' with { type: 'json' }
import { describe, expect, it } from 'vitest'
import {
  DEFAULT_TEMPLATE,
  NAME_TOKENS,
  NameTemplate,
  type NameToken,
} from '../../../app/contract/delivery/name-template.ts'
import { createRandom } from '../../../app/dsp/maths/random.ts'
import { type TokenTexts, templateName } from '../../../app/formats/names/template-names.ts'
import { createNamer, deliveryFolderName } from '../../../app/services/deliveries/delivery-names.ts'

const LEGAL = /^[A-Za-z0-9][A-Za-z0-9_-]*\.wav$/
/** As ntpath.isreserved of Python 3.13. */
const DEVICE = /^(con|prn|aux|nul|conin\$|conout\$|com[0-9¹²³]|lpt[0-9¹²³])$/i

const texts = (changes: Partial<Record<NameToken, string>> = {}): TokenTexts => ({
  ...{ artist: 'Night Driver', initials: 'ND', song: 'Night Train', date: '2026-03-14' },
  ...{ part: 'Lead Double', layer: 'Double', role: 'double', take: 'take 3', kind: 'Wet', ver: '03' },
  ...{ rate: '48k', depth: '24b', n: '01' },
  ...changes,
})
const nameOf = (
  template: string,
  changes: Partial<Record<NameToken, string>> = {},
  taken = new Set<string>(),
) => templateName(taken, template, texts(changes), '.wav')

describe('a name by a template', () => {
  it.each([
    [DEFAULT_TEMPLATE, {}, 'ND_NightTrain_LeadDouble_Wet03_48k24b.wav'],
    ['{part}', { part: 'con' }, 'ConX.wav'],
    ['{part}', { part: 'COM¹' }, 'COM1X.wav'],
    ['{part}', { part: 'NUL.tar' }, 'NULTar.wav'],
    ['{part}', { part: 'CONIN$' }, 'CONIN.wav'],
    ['{kind}', { kind: 'AUX' }, 'AUXX.wav'],
    ['{part}', { part: '%41' }, '41.wav'],
    ['_{layer}_{part}', { layer: '' }, 'LeadDouble.wav'],
    ['{song}_{layer}_{role}', { layer: '', role: '' }, 'NightTrain.wav'],
    ['-{part}.', {}, 'LeadDouble.wav'],
    ['Müller: {part} / x', {}, 'Muller_LeadDouble_x.wav'],
    ['{date} {n}', {}, '2026-03-14_01.wav'],
    ['{part}', { part: '😀' }, /^X[0-9a-f]{4}\.wav$/],
    ['{part}', { part: '' }, 'Untitled.wav'],
  ] as const)('%s with %o', (template, changes, wanted) => {
    expect(nameOf(template, changes)).toMatch(wanted instanceof RegExp ? wanted : new RegExp(`^${wanted}$`))
  })

  it('that is taken gets a 2, then a 3, also where only case, accent or ß differ', () => {
    const taken = new Set<string>()
    const names = ['Straße', 'STRASSE', 'strasse', 'caf\u00e9', 'cafe\u0301'].map((part) =>
      nameOf('{part}', { part }, taken),
    )
    expect(names).toEqual(['Strasse.wav', 'STRASSE_2.wav', 'Strasse_3.wav', 'Cafe.wav', 'Cafe_2.wav'])
  })

  it('has at most 80 characters, and keeps rate and depth where the song is long', () => {
    const taken = new Set<string>()
    const part = 'an extremely long name of a layer that nobody would type twice, and yet somebody did'
    const names = Array.from({ length: 12 }, () => nameOf(DEFAULT_TEMPLATE, { part, song: part }, taken))
    for (const name of names) expect(name.length).toBeLessThanOrEqual(80)
    expect(names[0]).toMatch(/_48k24b\.wav$/)
    expect(names[11]).toMatch(/_48k24b_12\.wav$/)
    expect(new Set(names).size).toBe(12)
  })
})

describe('D4: names of any titles', () => {
  /** Every kind of character, and many that fold together. */
  const ALPHABETS = [
    'abcXYZ019',
    ' _-.~',
    'éèßÆøŁİı',
    '한글東京',
    '/\\:*?"<>|%$',
    '😀\u200b\u0301\u202e',
    'ＡＢ½',
  ]
  const random = createRandom(41).uniform
  const pick = <T>(list: readonly T[]): T => list[Math.floor(random() * list.length)]!
  const title = (): string =>
    Array.from({ length: Math.floor(random() * 14) }, () => pick([...pick(ALPHABETS)])).join('')

  it('30,000 of 30,000 are legal, distinct and stable, with three templates', () => {
    const templates = [DEFAULT_TEMPLATE, '{part}', '{n} {song} {layer}-{role}']
    const titles = Array.from({ length: 10_000 }, title)
    for (const template of templates) {
      const round = (): string[] => {
        const taken = new Set<string>()
        return titles.map((part, k) => nameOf(template, { part, layer: part, song: titles[k % 100]! }, taken))
      }
      const names = round()
      expect(names.filter((name) => !LEGAL.test(name) || name.length > 80)).toEqual([])
      expect(names.filter((name) => DEVICE.test(name.split('.')[0]!))).toEqual([])
      expect(new Set(names.map((name) => name.toLowerCase())).size).toBe(10_000)
      expect(round()).toEqual(names)
    }
  })

  it('as do those of the big list of naughty strings, as artist, song and part at once', () => {
    const taken = new Set<string>()
    for (const text of naughty as string[]) {
      const session = { artistName: text, songTitle: text, date: '2026-03-14' }
      const namer = createNamer(session, 1, '{artist}_{initials}_{song}_{part}')
      const { path } = namer.name({
        ...{ folder: '02_Dry/Aligned', kind: 'Wet', part: text, extension: '.wav' },
        ...{ sampleRateHz: 48_000, encoding: 'pcm-24' },
      })
      expect(path.length).toBeLessThanOrEqual(180)
      expect(path.split('/')[2]).toMatch(LEGAL)
      expect(deliveryFolderName(session, 1)).toMatch(/^[A-Za-z0-9][A-Za-z0-9_-]{0,79}$/)
      taken.add(nameOf('{part}', { part: text }, taken).toLowerCase())
    }
    expect(taken.size).toBe((naughty as string[]).length)
  })
})

describe('a template', () => {
  it.each(['{voice}', '{Song}', '{}', '{song', 'song}', '{{song}}', '', ' ', '___'])(
    '%s is refused',
    (text) => {
      expect(NameTemplate.safeParse(text).success).toBe(false)
    },
  )

  it('says which token it does not know, and which there are', () => {
    const { error } = NameTemplate.safeParse('{song}_{voice}')
    expect(error?.issues[0]?.message).toContain('no token {voice}')
    for (const token of NAME_TOKENS) expect(error?.issues[0]?.message).toContain(`{${token}}`)
  })

  it.each(['{song}', 'x', DEFAULT_TEMPLATE, '{n} - {part}'])('%s is accepted', (text) => {
    expect(NameTemplate.parse(text)).toBe(text)
  })
})
