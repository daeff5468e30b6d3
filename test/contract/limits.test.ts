// The limits of what comes from outside: the largest that they allow passes, one more does not,
// and what is too long is refused by its length before anybody looks at its members.

import { describe, expect, it } from 'vitest'
import { z } from 'zod'
import { parseChainDocument } from '../../app/contract/chain-document.ts'
import { Failure } from '../../app/contract/failure.ts'
import { parseManifest } from '../../app/contract/manifest.ts'
import { listOf, SampleRate, wellFormed } from '../../app/contract/text/bounded.ts'
import {
  HIGHEST_RATE_HZ,
  LOWEST_RATE_HZ,
  MAX_GROUPS,
  MAX_JSON_BYTES,
  MAX_LAYERS,
  MAX_STAGES,
} from '../../app/contract/text/limits.ts'
import { readJsonText } from '../../app/contract/text/read-json.ts'
import { changed } from './changed.ts'
import { largestChain, largestManifest } from './large-documents.ts'

/** As the program writes it. */
const written = (document: unknown): string => `${JSON.stringify(document, null, 2)}\n`
const read = (text: string): unknown => readJsonText(text, 'it', 'chain', 'another')

function sentenceFor(act: () => unknown): string {
  try {
    act()
  } catch (error) {
    if (error instanceof Failure) return error.message
    throw error
  }
  return 'taken'
}

describe('the largest', () => {
  it('chain fits into a chain file and is taken', () => {
    const text = written(largestChain())
    expect(Buffer.byteLength(text)).toBeLessThan(MAX_JSON_BYTES)
    expect(parseChainDocument(read(text), 'it').stages).toHaveLength(MAX_STAGES)
  })

  it('manifest fits into a manifest and is taken', () => {
    const text = written(largestManifest())
    expect(Buffer.byteLength(text)).toBeLessThan(MAX_JSON_BYTES)
    expect(parseManifest(read(text), 'it').plan.layers).toHaveLength(MAX_LAYERS)
  })
})

describe('one more', () => {
  const chain = { ...largestChain(), stages: [] as unknown[] }
  const stage = { kind: 'trim', on: true, settings: { gainDb: 0, invertPolarity: false } }
  const manifest = largestManifest()
  const manifestWith = (path: string, value: unknown): string =>
    sentenceFor(() => parseManifest(changed(manifest, path, value), 'it'))

  it('stage is refused', () => {
    const stages = Array(MAX_STAGES + 1).fill(stage)
    expect(sentenceFor(() => parseChainDocument({ ...chain, stages }, 'it'))).toMatch(
      /at stages: too big: expected array to have <=24 items/,
    )
  })

  it.each<[string, unknown, RegExp]>([
    ['plan.layers', Array(MAX_LAYERS + 1).fill(manifest.plan.layers[0]), /at plan\.layers: too big: .*<=256/],
    ['plan.groups', Array(MAX_GROUPS + 1).fill(manifest.plan.groups[0]), /at plan\.groups: too big: .*<=64/],
    ['plan.groups.0.stages', Array(25).fill(stage), /at plan\.groups\[0\]\.stages: too big: .*<=24/],
    [
      'plan.layers.0.stages.0.settings.bands',
      Array(14).fill({}),
      /at plan\.layers\[0\]\.stages\[0\]\.settings\.bands: too big: .*<=13/,
    ],
    ['plan.frames', 1e15, /at plan\.frames: too big/],
    ['plan.layers.0.take.frames', 1e15, /at plan\.layers\[0\]\.take\.frames: too big/],
    ['plan.layers.0.offsetSamples', -3e9, /at plan\.layers\[0\]\.offsetSamples: too small/],
    ['plan.layers.0.gainDb', 200, /at plan\.layers\[0\]\.gainDb: too big/],
    ['plan.sampleRateHz', 1, /at plan\.sampleRateHz: too small: expected number to be >=8000/],
    ['plan.layers.0.take.sampleRateHz', 800_000, /too big: expected number to be <=768000/],
    ['plan.layers', [], /at plan\.layers: too small/],
    ['takes', [], /at takes: too small/],
    ['stems', [], /at stems: too small/],
    ['artist', 'a'.repeat(201), /at artist: too big/],
    ['remarks.0', 'a'.repeat(2001), /at remarks\[0\]: too big/],
    ['timeReferenceSamples', 1e15, /at timeReferenceSamples: too big/],
    ['stems.0.ditherSeed', 2 ** 32, /at stems\[0\]\.ditherSeed: too big/],
    ['stems.0.file', `${'a'.repeat(252)}.wav`, /at stems\[0\]\.file: too big/],
    ['stems.0.file', '..', /plain name/],
    ['stems.0.file', 'C:a.wav', /plain name/],
    ['stems.0.file', 'a\u0000b.wav', /plain name/],
    ['stems.0.file', '-rf.wav', /plain name/],
    ['stems.0.file', 'manifest.json', /plain name/],
  ])('%s in a manifest is refused', (path, value, what) => {
    expect(manifestWith(path, value)).toMatch(what)
  })

  it.each<[string, unknown, RegExp]>([
    ['takes.3.sha256', 'f'.repeat(64), /the layer "N+" uses a take that is not among its takes/],
    ['plan.layers.3.groupId', 1000, /the layer "N+" is in a group that its plan does not have/],
    ['plan.layers.3.id', 1, /two layers of its plan have the same id/],
    ['plan.groups.3.id', 1, /two groups of its plan have the same id/],
    ['stems.0.sourceId', 1000, /the stem group0_n+\.wav is of a group that its plan does not have/],
    ['stems.100.sourceId', 1000, /is of a layer that its plan does not have/],
    ['stems.0.file', `GROUP1_${'N'.repeat(60)}.wav`, /two stems are called group1_/],
  ])('whose %s says something else than the rest is refused', (path, value, what) => {
    expect(manifestWith(path, value)).toMatch(what)
  })

  it('take with two formats is refused', () => {
    const { take } = manifest.plan.layers[0]
    const layers = manifest.plan.layers.map((layer, k) =>
      k === 1 ? { ...layer, take: { ...take, frames: take.frames + 1 } } : layer,
    )
    expect(manifestWith('plan.layers', layers)).toMatch(
      /the take of the layer "N+" is said to have two formats/,
    )
  })

  it('stem file of an earlier version, in the letters of any script, is taken', () => {
    expect(manifestWith('stems.0.file', 'Ночь한글_LeadDouble2_48k24b.wav')).toBe('taken')
  })
})

describe('a list', () => {
  it('that is too long is refused before its members are looked at', () => {
    let looks = 0
    const member = z.custom(() => ++looks > 0)
    expect(listOf(member, 3).safeParse([1, 2, 3]).success).toBe(true)
    expect(looks).toBe(3)
    expect(listOf(member, 3).safeParse([1, 2, 3, 4]).success).toBe(false)
    expect(listOf(member, 3, 2).safeParse([1]).success).toBe(false)
    expect(looks).toBe(3)
  })
})

describe('a sentence', () => {
  it.each<[string, unknown]>([
    ['a kind without end', { ...largestChain(), stages: [{ kind: 'a'.repeat(1_000_000) }] }],
    [
      'names without end',
      { ...largestChain(), ...Object.fromEntries(Array.from({ length: 10_000 }, (_, k) => [`k${k}`, 1])) },
    ],
    ['one name without end', { ...largestChain(), ['n'.repeat(1_000_000)]: 1 }],
  ])('about %s stays one that can be read', (_what, document) => {
    const sentence = sentenceFor(() => parseChainDocument(document, 'it'))
    expect(sentence).not.toBe('taken')
    expect(sentence.length).toBeLessThan(500)
  })
})

describe('text', () => {
  it('that has no UTF-8 form is refused, because it could be neither stored nor hashed', () => {
    expect(wellFormed(10).safeParse('half \ud83d').success).toBe(false)
    expect(wellFormed(10).safeParse('whole 😀').success).toBe(true)
    const named = changed(largestChain(), 'stages.0.settings.target.name', '\ude00')
    expect(sentenceFor(() => parseChainDocument(named, 'it'))).toMatch(
      /target\.name: the text contains half of a surrogate/,
    )
  })
})

describe('a sample rate', () => {
  it.each([LOWEST_RATE_HZ, 44_100, HIGHEST_RATE_HZ])('of %d Hz is taken', (rate) => {
    expect(SampleRate.safeParse(rate).success).toBe(true)
  })
  it.each([0, 1, 7999, 44_100.5, 768_001, Number.NaN])('of %d Hz is refused', (rate) => {
    expect(SampleRate.safeParse(rate).success).toBe(false)
  })
})
