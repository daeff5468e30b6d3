// A chain file is taken whole or refused in one sentence that says where it is wrong.

import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import {
  CHAIN_FORMAT,
  type ChainDocument,
  defaultStages,
  parseChainDocument,
} from '../../app/contract/chain-document.ts'
import { Failure } from '../../app/contract/failure.ts'
import { changed } from './changed.ts'

const WHERE = '/chains/lead.json'
const chain: ChainDocument = {
  format: CHAIN_FORMAT,
  version: 1,
  name: 'Lead',
  stages: Object.values(defaultStages),
}

/** Code and sentence. */
function refusalOf(value: unknown): string {
  try {
    parseChainDocument(value, WHERE)
  } catch (error) {
    if (error instanceof Failure) return `${error.code}: ${error.message}`
    throw error
  }
  return 'taken'
}

describe('a chain file', () => {
  it('is taken with every kind of stage at its first settings', () => {
    expect(chain.stages).toHaveLength(9)
    expect(parseChainDocument(structuredClone(chain), WHERE)).toEqual(chain)
  })

  it('of a newer version is refused whatever it holds', () => {
    const newer =
      'newer-version: /chains/lead.json has chain format version 2, and this Takeloft knows up to 1; update Takeloft to use it.'
    expect(refusalOf({ ...chain, version: 2 })).toBe(newer)
    expect(refusalOf({ format: CHAIN_FORMAT, version: 2, graph: { nodes: [] } })).toBe(newer)
  })

  it('with a stage that does not exist names it and those that do', () => {
    expect(refusalOf(changed(chain, 'stages.3.kind', 'reverb'))).toBe(
      'unknown-stage: /chains/lead.json asks for a stage "reverb" that does not exist; the stages are trim, expander, mic-correction, low-cut, tone, de-ess, drive, opto, ceiling.',
    )
  })

  it.each(['constructor', 'toString', '__proto__', ''])('does not take "%s" for a stage', (kind) => {
    expect(refusalOf(changed(chain, 'stages.0.kind', kind))).toMatch(/^unknown-stage: .*does not exist/)
  })

  it.each([
    [null, 'invalid input: expected object, received null'],
    [[], 'invalid input: expected object, received array'],
    ['chain', 'invalid input: expected object, received string'],
    [{}, 'at format: invalid input: expected "takeloft-chain"'],
    [{ ...chain, format: 'other' }, 'at format: invalid input: expected "takeloft-chain"'],
    [{ ...chain, version: '1' }, 'at version: invalid input: expected number, received string'],
    [{ ...chain, version: 0 }, 'at version: too small: expected number to be >=1'],
    [{ ...chain, version: 1.5 }, 'at version: invalid input: expected int, received number'],
  ])('that is %j is no chain', (value, what) => {
    expect(refusalOf(value)).toBe(
      `invalid-input: ${WHERE} is not a Takeloft chain: ${what}. Choose a chain file that Takeloft saved, or see resources/chain.schema.json.`,
    )
  })

  it.each<[string, unknown, string | RegExp]>([
    ['stages', 'none', 'at stages: invalid input: expected array, received string'],
    ['stages.0.kind', 4, /at stages\[0\]\.kind: invalid input/],
    ['name', '', /at name: too small/],
    ['name', undefined, 'at name: it is missing, string expected'],
    ['stages.0.on', 1, 'at stages[0].on: invalid input: expected boolean, received number'],
    ['stages.0.settings', undefined, 'at stages[0].settings: it is missing, object expected'],
    [
      'stages.0.settings.gainDb',
      '3',
      'at stages[0].settings.gainDb: invalid input: expected number, received string',
    ],
    ['stages.0.settings.gainDb', Number.NaN, /at stages\[0\]\.settings\.gainDb: invalid input/],
    ['stages.0.settings.gainDb', 36.01, 'at stages[0].settings.gainDb: too big: expected number to be <=36'],
    ['stages.0.settings.gian', 1, /at stages\[0\]\.settings: unrecognized key: "gian"/],
    ['stages.3.settings.slopeDbPerOctave', 18, /at stages\[3\]\.settings\.slopeDbPerOctave: invalid input/],
    [
      'stages.4.settings.bands.1.q',
      0,
      'at stages[4].settings.bands[1].q: too small: expected number to be >=0.1',
    ],
    ['colour', 'red', /unrecognized key: "colour"/],
  ])('with %s = %j says what is wrong there', (path, value, what) => {
    const refusal = refusalOf(changed(chain, path, value))
    expect(refusal).toMatch(
      /^invalid-input: \/chains\/lead\.json (cannot be used as a chain|is not a Takeloft chain): /,
    )
    expect(refusal).toMatch(what)
  })

  it('whose stages before the sum stand behind others is refused', () => {
    expect(refusalOf({ ...chain, stages: [defaultStages.opto, defaultStages.expander] })).toBe(
      `invalid-input: ${WHERE} cannot be used as a chain: at stages: trim, expander and mic-correction run on each layer before the sum, so they must come before the other stages.`,
    )
  })

  it('may hold 24 stages and not 25', () => {
    const some = (count: number) => ({
      ...chain,
      stages: Array.from({ length: count }, () => defaultStages.tone),
    })
    expect(refusalOf(some(24))).toBe('taken')
    expect(refusalOf(some(25))).toMatch(/at stages: too big: expected array to have <=24 items/)
  })

  it('names the file in its details', () => {
    try {
      parseChainDocument({ ...chain, version: 9 }, WHERE)
      expect.unreachable()
    } catch (error) {
      expect((error as Failure).details).toEqual({ where: WHERE, version: 9 })
    }
  })
})

describe('resources/chain.schema.json', () => {
  const schema = JSON.parse(
    readFileSync(new URL('../../resources/chain.schema.json', import.meta.url), 'utf8'),
  ) as { properties: { format: { const: string }; version: { const: number } }; required: string[] }

  it('speaks of this format and version', () => {
    expect(schema.properties.format.const).toBe(chain.format)
    expect(schema.properties.version.const).toBe(chain.version)
    expect(schema.required).toEqual(['format', 'version', 'name', 'stages'])
  })
})
