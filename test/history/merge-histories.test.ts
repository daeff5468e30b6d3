// The union of histories over 1,000 random triples (D13): commutative, associative, idempotent, and nothing lost. The
// laws are those of a join semilattice (Shapiro and others, INRIA RR-7506, 2011), which convergence follows from.

import { describe, expect, it } from 'vitest'
import type { History, VersionRecord } from '../../app/contract/exchange/history.ts'
import { History as HistorySchema } from '../../app/contract/exchange/history.ts'
import { createRandom } from '../../app/dsp/maths/random.ts'
import { canonicalJson } from '../../app/history/canonical-json.ts'
import { mergeHistories } from '../../app/history/merge-histories.ts'
import { joinStates, newestState } from '../../app/history/states.ts'
import { uuid7 } from '../../app/history/uuid7.ts'
import { headsOf, sortVersions } from '../../app/history/version-graph.ts'
import { versionHash, versionNode } from '../../app/history/version-hash.ts'

const random = createRandom(20_261_128)
const below = (n: number): number => Math.floor(random.uniform() * n)
const pick = <T>(list: readonly T[]): T => list[below(list.length)]!
const some = <T>(list: readonly T[]): T[] => list.filter(() => random.uniform() < 0.5)
const bytes = (): Uint8Array => Uint8Array.from({ length: 10 }, () => below(256))
const ids = Array.from({ length: 6 }, (_, n) => uuid7(1_700_000_000_000 + n, bytes()))
const machines = ids.slice(0, 3)
const moment = (): string => new Date(1_700_000_000_000 + below(20) * 1000).toISOString()
const hash = (): string => String(below(4)).repeat(64)

const states = <V>(values: () => V) =>
  Array.from({ length: 1 + below(3) }, () => ({
    at: moment(),
    machine: pick(['', ...machines]),
    parents: lists(() => ({ at: moment(), machine: pick(machines) })).slice(0, 2),
    values: values(),
  }))
const text = (): string => pick(['Ana', 'Ana U.', 'Änä', '夜', ''])
const named = () => ({ name: pick(['Ana', 'Änä']), note: text() })
const entity = () => ({ id: pick(ids), also: some(ids.slice(0, 2)), createdAt: moment() })
const lists = <T>(make: () => T): T[] => Array.from({ length: below(4) }, make)

/** A pool of versions, each edited from one or two before it; a fork and a join are likely. */
const pool: VersionRecord[] = []
for (let n = 0; n < 40; n++) {
  const parents = [...new Set([pick([...pool, undefined]), pick([...pool, undefined, undefined])])].flatMap(
    (one) => one?.sha256 ?? [],
  )
  const node = versionNode({
    chain: pick(ids),
    parents,
    stages: [],
    note: String(n),
    machine: pick(machines),
    createdAt: moment(),
  })
  pool.push({ sha256: versionHash(node), number: n + 1, node })
}

const settings = () => ({
  ...{
    date: '2026-10-01',
    sampleRateHz: 48_000 as const,
    tempoBpm: null,
    beatsPerBar: 4,
    beatUnit: 4 as const,
  },
  ...{ tempoChanges: [], panLaw: 'minus-3-db' as const, startOfDayS: below(3), chainSharing: 'own' as const },
  sharedVersion: null,
  groups: [],
})
const sections = () => ({
  sections: lists(() => ({
    name: pick(['Verse', '夜']),
    startSamples: below(3),
    lengthSamples: below(2),
    note: text(),
  })),
})
const madeFrom = {
  ...{
    program: '0.2.0',
    sampleRateHz: 48_000,
    encoding: 'pcm-24' as const,
    template: '{n}',
    range: '',
    tempo: '',
  },
  contents: { groups: true, layers: false, aligned: false, raw: false, reference: false },
  ...{ groups: [], layers: [], chains: [], markers: [] },
}
const facts = () => ({
  ...{
    integratedLufs: -20,
    loudnessRangeLu: null,
    maxMomentaryLufs: -14,
    maxShortTermLufs: -16,
    truePeakDbtp: -2,
  },
  ...{ samplePeakDbfs: -2, dcOffset: below(2), findings: [] },
})

/** Entries of one id may contradict one another, as those of a spoiled file do. */
function history(): History {
  const drawn: History = {
    format: 'takeloft-history',
    v: 1 + below(2),
    machines: lists(() => ({ id: pick(machines), name: text() })),
    artists: lists(() => ({ ...entity(), states: states(named) })),
    voices: lists(() => ({ ...entity(), artist: pick(ids), states: states(named) })),
    mics: lists(() => ({
      ...entity(),
      states: states(() => ({ ...named(), serial: text(), pattern: 'omni' as const })),
    })),
    curves: lists(() => ({
      mic: pick([null, ...ids]),
      sha256: hash(),
      createdAt: moment(),
      states: states(named),
    })),
    songs: lists(() => ({
      ...entity(),
      artist: pick(ids),
      states: states(() => ({ title: pick(['S', 'T']) })),
    })),
    chains: lists(() => ({
      ...entity(),
      voice: pick(ids),
      states: states(() => ({ name: pick(['C', 'D']) })),
    })),
    versions: some(pool).map((one) => ({ ...one, number: one.number + below(2) })),
    pins: lists(() => ({
      sha256: hash(),
      states: states(() => ({ isPinned: random.uniform() < 0.5 })),
    })),
    takes: lists(() => ({
      ...{
        sha256: hash(),
        container: 'wav',
        encoding: 'pcm-24',
        sampleRateHz: 48_000,
        channels: 1,
        frames: 1 + below(3),
      },
      ...{
        timeReferenceSamples: null,
        sizeBytes: 9,
        fileName: pick(['a.wav', 'b.wav']),
        importedAt: moment(),
      },
      facts: facts(),
      states: states(() => ({ name: pick(['a', 'b']), voice: pick([null, ...ids]), mic: null, curve: null })),
    })),
    sessions: lists(() => ({
      ...entity(),
      ...{ song: pick(ids), takes: some([...new Set([hash(), hash()])]) },
      states: states(() => ({ notes: text() })),
      settings: states(settings),
      sections: random.uniform() < 0.3 ? [] : states(sections),
    })),
    bounces: lists(() => ({
      session: pick(ids),
      manifestSha256: hash(),
      stems: below(3),
      createdAt: moment(),
      folder: 'b',
      part: pick(['', 'Hook']),
    })),
    deliveries: lists(() => ({
      ...{
        session: pick(ids),
        number: 1 + below(2),
        manifestSha256: hash(),
        files: 9,
        bytes: 9,
        changes: [],
      },
      ...{ madeFrom, createdAt: moment(), folder: 'd' },
    })),
    changes: lists(() => ({
      ...{
        artist: pick(ids),
        kind: 'renamed' as const,
        entity: 'artist' as const,
        name: text(),
        otherName: text(),
      },
      at: moment(),
    })),
    files: [],
  }
  return mergeHistories(drawn, drawn)
}

type Part = 'states' | 'settings' | 'sections' | 'takes' | 'also'
type Entry = { readonly id?: string; readonly sha256?: string } & Partial<Record<Part, readonly unknown[]>>

/** Every key of every list, and every state of every entity. */
function partsOf({ format: _f, v: _v, ...all }: History): string[] {
  return Object.entries(all).flatMap(([list, entries]) =>
    (entries as Entry[]).flatMap((entry) => {
      const key = `${list} ${entry.id ?? entry.sha256 ?? canonicalJson(entry)}`
      const inside = [
        ...(entry.states ?? []),
        ...(entry.settings ?? []),
        ...(entry.sections ?? []),
        ...(entry.takes ?? []),
        ...(entry.also ?? []),
      ]
      return [key, ...inside.map((part) => `${key} ${canonicalJson(part)}`)]
    }),
  )
}

const same = (a: History, b: History): boolean => canonicalJson(a) === canonicalJson(b)

describe('the union of histories', () => {
  it('keeps the three laws and loses nothing in 1,000 random triples', () => {
    for (let n = 0; n < 1000; n++) {
      const [a, b, c] = [history(), history(), history()]
      const ab = mergeHistories(a, b)
      expect(same(ab, mergeHistories(b, a)), `${n}: A + B = B + A`).toBe(true)
      expect(
        same(mergeHistories(ab, c), mergeHistories(a, mergeHistories(b, c))),
        `${n}: (A + B) + C = A + (B + C)`,
      ).toBe(true)
      expect(same(mergeHistories(a, a), a), `${n}: A + A = A`).toBe(true)
      const kept = new Set(partsOf(ab))
      for (const part of [...partsOf(a), ...partsOf(b)]) expect(kept.has(part), `${n}: ${part}`).toBe(true)
      expect(HistorySchema.safeParse(ab).success).toBe(true)
    }
  })

  it('lets versions in after their parents in whatever order and parts they come, and names those that wait', () => {
    for (let n = 0; n < 1000; n++) {
      const part = some(pool).sort(() => random.uniform() - 0.5)
      const { entered, waiting, refused } = sortVersions(part, new Map())
      expect(refused).toEqual([])
      expect(entered.length + waiting.length).toBe(part.length)
      const seen = new Map<string, number>()
      for (const { sha256, number, node } of entered) {
        for (const parent of node.parents) expect(seen.get(parent)).toBeLessThan(number)
        seen.set(sha256, number)
      }
      for (const { missing } of waiting) expect(missing.some((one) => seen.has(one))).toBe(false)
      // What waited enters when the rest is brought.
      const then = sortVersions(pool, seen)
      expect([then.waiting, then.entered.length + entered.length]).toEqual([[], pool.length])
    }
  })
})

it('a version that does not have its hash is refused, and its children wait for it', () => {
  const [first] = pool
  const child = pool.find(({ node }) => (node.parents as string[]).includes(first!.sha256))!
  const spoiled = { ...first!, node: { ...first!.node, note: 'other' } }
  expect(sortVersions([spoiled, child], new Map())).toMatchObject({
    entered: [],
    waiting: [{ sha256: child.sha256 }],
    refused: [first!.sha256],
  })
})

it('heads are the versions from which none was made, one until a chain goes two ways', () => {
  const version = (node: string, ...parents: string[]) => ({ node, parents })
  const line = [version('a'), version('b', 'a')]
  const heads = (all: typeof line) => headsOf(all).map(({ node }) => node)
  expect(heads(line)).toEqual(['b'])
  expect(heads([...line, version('c', 'a')])).toEqual(['b', 'c'])
  expect(heads([...line, version('c', 'a'), version('d', 'c', 'b')])).toEqual(['d'])
})

it('the newest values are those of the later time, then of the greater machine', () => {
  const state = (at: string, machine: string, values: string) => ({ at, machine, parents: [], values })
  const [x, y, z] = [
    state('2026-10-01T12:00:00Z', 'b', 'x'),
    state('2026-10-01T12:00:00.000Z', 'c', 'y'),
    state('2026-10-01T11:59:59.999Z', 'd', 'z'),
  ]
  expect(newestState([z, y, x])).toBe(y)
  expect(joinStates([x], [z, x, y])).toEqual([z, x, y])
})
