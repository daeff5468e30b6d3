// JSON text is looked over before it is built: what no chain or manifest holds is refused at once.

import { describe, expect, it } from 'vitest'
import {
  MAX_JSON_CONTAINERS,
  MAX_JSON_DEPTH,
  MAX_JSON_MEMBERS,
  MAX_JSON_VALUES,
} from '../../app/contract/text/limits.ts'
import { readJsonText } from '../../app/contract/text/read-json.ts'

const read = (text: string): unknown => readJsonText(text, '/a.json', 'chain', 'a chain file')
const nested = (depth: number): string => '['.repeat(depth) + ']'.repeat(depth)
const listOf = (members: number, member = '0'): string => `[${Array(members).fill(member).join()}]`
const objectOf = (members: number): string =>
  `{${Array.from({ length: members }, (_, k) => `"${k}":0`).join()}}`

describe('JSON', () => {
  it.each([
    '{"a":[1,2,{"b":"c"}]}',
    'null',
    '"text"',
    String.raw`{"quotes \" and \\":"[[[{{{,,,","\\":["]"]}`,
    nested(MAX_JSON_DEPTH),
    objectOf(MAX_JSON_MEMBERS),
    `[${'"'}${'['.repeat(1_000_000)}${'"'}]`,
  ])('is what JSON.parse gives', (text) => {
    expect(read(text)).toEqual(JSON.parse(text))
  })

  it('as large as there may be is read', () => {
    expect(read(listOf(MAX_JSON_VALUES))).toHaveLength(MAX_JSON_VALUES)
    expect(read(listOf(MAX_JSON_CONTAINERS - 1, '{}'))).toHaveLength(MAX_JSON_CONTAINERS - 1)
  })

  it.each([
    ['nested too deeply', nested(MAX_JSON_DEPTH + 1)],
    ['of brackets that never close', '['.repeat(5_000_000)],
    ['of objects that never close', '{"a":'.repeat(1_000_000)],
    ['with too many members in one object', objectOf(MAX_JSON_MEMBERS + 2)],
    ['with too many values', listOf(MAX_JSON_VALUES + 2)],
    ['with too many objects', listOf(MAX_JSON_CONTAINERS, '{}')],
  ])('%s is refused unbuilt', (_what, text) => {
    expect(() => read(text)).toThrow('/a.json contains more than a chain can; choose a chain file.')
  })

  // RFC 8259, section 4: names should be unique; programs differ in what they do otherwise.
  it.each([
    ['stages', '{"stages":[1],"name":"c","stages":[]}'],
    ['gainDb', '[{"settings":{"gainDb":1,"q":{},"gainDb":2}}]'],
    ['a', String.raw`{"a":1,"\u0061":2}`],
    ['', '{"":1, "" :2}'],
    ['__proto__', '{"__proto__":1,"__proto__":2}'],
  ])('with the key "%s" twice in one object is refused', (key, text) => {
    expect(() => read(text)).toThrow(
      `/a.json has "${key}" twice in one object, so it is unclear which one is meant; remove one of the two.`,
    )
  })

  it.each([
    '{"a":{"a":1},"b":{"a":2}}',
    '[{"a":1},{"a":2}]',
    '{"a":"a","b":"a: a, \\"a\\":"}',
    '{"a":[{"a":1}],"b":["a","a"]}',
  ])('with the same key in several objects is read: %s', (text) => {
    expect(read(text)).toEqual(JSON.parse(text))
  })

  it.each([
    '',
    '{',
    '"',
    '"\\',
    '{"a":1,}',
    'stages: none',
    ']',
    ',,,',
    '{"a":1,"a":2',
    '{:,:}',
    '\ufeff{}x',
  ])('"%s" is none', (text) => {
    expect(() => read(text)).toThrow('/a.json is not JSON and so not a chain; choose a chain file.')
  })
})
