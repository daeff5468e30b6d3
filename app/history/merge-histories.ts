// The union of two histories. It is commutative, associative and idempotent, so that computers may exchange
// files in any order and any number of times; nothing is ever left out.

import type { History } from '../contract/exchange/history.ts'
import { canonicalJson } from './canonical-json.ts'
import { compareText, joinStates, type State } from './states.ts'

/** All that either history has, in the order of its keys. The lists of files are joined as well. */
export function mergeHistories(a: History, b: History): History {
  return {
    format: a.format,
    v: Math.max(a.v, b.v),
    machines: union(a.machines, b.machines, ({ id }) => id, smaller),
    artists: union(a.artists, b.artists, ({ id }) => id, joinEntities),
    voices: union(
      a.voices,
      b.voices,
      ({ id }) => id,
      (x, y) => ({
        ...joinEntities(x, y),
        artist: smallerText(x.artist, y.artist),
      }),
    ),
    mics: union(a.mics, b.mics, ({ id }) => id, joinEntities),
    curves: union(
      a.curves,
      b.curves,
      ({ mic, sha256 }) => `${sha256} ${mic}`,
      (x, y) => ({
        ...x,
        createdAt: smallerText(x.createdAt, y.createdAt),
        states: joinStates(x.states, y.states),
      }),
    ),
    songs: union(
      a.songs,
      b.songs,
      ({ id }) => id,
      (x, y) => ({
        ...joinEntities(x, y),
        artist: smallerText(x.artist, y.artist),
      }),
    ),
    chains: union(
      a.chains,
      b.chains,
      ({ id }) => id,
      (x, y) => ({
        ...joinEntities(x, y),
        voice: smallerText(x.voice, y.voice),
      }),
    ),
    // Two that claim one hash stay two: at most one of them is right.
    versions: union(
      a.versions,
      b.versions,
      ({ sha256, node }) => `${sha256} ${canonicalJson(node)}`,
      (x, y) => ({
        ...x,
        number: Math.min(x.number, y.number),
      }),
    ),
    pins: union(
      a.pins,
      b.pins,
      ({ sha256 }) => sha256,
      (x, y) => ({ ...x, states: joinStates(x.states, y.states) }),
    ),
    takes: union(
      a.takes,
      b.takes,
      ({ sha256 }) => sha256,
      (x, y) => ({
        ...smaller({ ...x, states: [] }, { ...y, states: [] }),
        states: joinStates(x.states, y.states),
      }),
    ),
    sessions: union(
      a.sessions,
      b.sessions,
      ({ id }) => id,
      (x, y) => ({
        ...joinEntities(x, y),
        song: smallerText(x.song, y.song),
        takes: unionOfTexts(x.takes, y.takes),
        settings: joinStates(x.settings, y.settings),
        sections: joinStates(x.sections, y.sections),
      }),
    ),
    bounces: union(a.bounces, b.bounces, canonicalJson, smaller),
    deliveries: union(a.deliveries, b.deliveries, canonicalJson, smaller),
    changes: union(a.changes, b.changes, canonicalJson, smaller),
    files: union(a.files, b.files, canonicalJson, smaller),
  }
}

interface Entity<V> {
  readonly id: string
  also: string[]
  createdAt: string
  states: State<V>[]
}

const joinEntities = <V, E extends Entity<V>>(a: E, b: E): E => ({
  ...a,
  also: unionOfTexts(a.also, b.also),
  createdAt: smallerText(a.createdAt, b.createdAt),
  states: joinStates(a.states, b.states),
})

/** By key, and in the order of the keys; entries of one key are joined. */
function union<T>(
  a: readonly T[],
  b: readonly T[],
  keyOf: (entry: T) => string,
  join: (x: T, y: T) => T,
): T[] {
  const all = new Map<string, T>()
  for (const entry of [...a, ...b]) {
    const key = keyOf(entry)
    const known = all.get(key)
    all.set(key, known === undefined ? entry : join(known, entry))
  }
  return [...all].sort(([x], [y]) => compareText(x, y)).map(([, entry]) => entry)
}

const unionOfTexts = (a: readonly string[], b: readonly string[]): string[] =>
  [...new Set([...a, ...b])].sort(compareText)

const smallerText = (a: string, b: string): string => (a <= b ? a : b)

/** One of two that should be equal, the same whichever comes first. */
const smaller = <T>(a: T, b: T): T => (canonicalJson(a) <= canonicalJson(b) ? a : b)
