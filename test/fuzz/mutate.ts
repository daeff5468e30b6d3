// Changes bytes and JSON values the way disks, networks and people do, by a seeded draw.

import type { Random } from '../../app/dsp/maths/random.ts'

export interface Draw {
  /** A whole number from 0 to `count` - 1. */
  below(count: number): number
  of<T>(all: readonly T[]): T
}

export const drawFrom = (random: Random): Draw => {
  const below = (count: number): number => Math.floor(random.uniform() * count)
  return { below, of: (all) => all[below(all.length)] }
}

const WORDS = [
  0, 1, 2, 7, 8, 16, 255, 256, 0x7fff, 0x8000, 0xffff, 0x7fffffff, 0x80000000, 0xfffffffe, 0xffffffff,
]

/** One to six changes to a copy of `bytes`; `others` are what pieces may come from. */
export function mutatedBytes(bytes: Buffer, others: readonly Buffer[], draw: Draw): Buffer {
  let changed: Buffer = Buffer.from(bytes)
  for (let k = 1 + draw.below(6); k > 0; k--) changed = draw.of(BYTE_CHANGES)(changed, others, draw)
  return changed
}

type ByteChange = (bytes: Buffer, others: readonly Buffer[], draw: Draw) => Buffer

/** Most of what decides lies at the beginning. */
const placeIn = (bytes: Buffer, draw: Draw): number =>
  draw.below(draw.below(2) === 0 ? Math.min(bytes.length, 120) : bytes.length)

const BYTE_CHANGES: readonly ByteChange[] = [
  (bytes, _others, draw) => {
    if (bytes.length > 0) bytes[placeIn(bytes, draw)] ^= 1 << draw.below(8)
    return bytes
  },
  (bytes, _others, draw) => {
    if (bytes.length > 0)
      bytes[placeIn(bytes, draw)] = draw.of([0, 1, 0x7f, 0x80, 0xfe, 0xff, draw.below(256)])
    return bytes
  },
  (bytes, _others, draw) => {
    if (bytes.length < 4) return bytes
    const at = Math.min(placeIn(bytes, draw), bytes.length - 4)
    if (draw.below(2) === 0) bytes.writeUInt32LE(draw.of(WORDS), at)
    else bytes.writeUInt32BE(draw.of(WORDS), at)
    return bytes
  },
  (bytes, _others, draw) => bytes.subarray(0, placeIn(bytes, draw)),
  (bytes, _others, draw) => {
    const at = placeIn(bytes, draw)
    return Buffer.concat([bytes.subarray(0, at), bytes.subarray(at + draw.below(64))])
  },
  (bytes, _others, draw) => {
    const at = placeIn(bytes, draw)
    const filling = Buffer.alloc(draw.below(300), draw.below(256))
    return Buffer.concat([bytes.subarray(0, at), filling, bytes.subarray(at)])
  },
  (bytes, _others, draw) => {
    const at = placeIn(bytes, draw)
    const piece = bytes.subarray(at, at + draw.below(200))
    const copies = Array<Buffer>(1 + draw.below(8)).fill(piece)
    return Buffer.concat([bytes.subarray(0, at), ...copies, bytes.subarray(at)])
  },
  (bytes, others, draw) => {
    const other = draw.of(others)
    const from = draw.below(other.length)
    const at = placeIn(bytes, draw)
    return Buffer.concat([
      bytes.subarray(0, at),
      other.subarray(from, from + draw.below(400)),
      bytes.subarray(at),
    ])
  },
]

const NUMBERS: readonly number[] = [0, 1, 2, 3, 7, -1, 0.5, 100, 8000, 44_100, 1e15, -1e308, 1e-320]
const STRINGS: readonly string[] = [
  '',
  '1',
  'x'.repeat(5000),
  'zero \u0000',
  'half \ud83d',
  '../../etc/passwd',
  'constructor',
  'own',
  'group',
  'trim',
  'ef'.repeat(32),
]
const VALUES: readonly unknown[] = [
  ...NUMBERS,
  ...STRINGS,
  null,
  true,
  [],
  {},
  [[[[[[[[]]]]]]]],
  { kind: 'constructor' },
]

/** Mostly of the kind that is there: another kind is refused at the first look. */
function otherThan(value: unknown, draw: Draw): unknown {
  // Copies, because a further change may be inside of it.
  if (draw.below(4) === 0) return structuredClone(draw.of(VALUES))
  if (typeof value === 'number') return draw.of(NUMBERS)
  return typeof value === 'string' ? draw.of(STRINGS) : structuredClone(draw.of(VALUES))
}

/** One to four changes to a copy of a JSON value. */
export function mutatedValue(value: unknown, draw: Draw): unknown {
  const copy: unknown = structuredClone(value)
  for (let k = 1 + draw.below(4); k > 0; k--) changeSomewhere(copy, draw)
  return copy
}

function changeSomewhere(value: unknown, draw: Draw): void {
  const members = membersOf(value)
  if (members.length === 0) return
  const [at, key] = draw.of(members)
  changeMember(at, key, draw)
}

type Member = readonly [at: Record<string, unknown>, key: string]

/** Every member of every object and list, however deep. */
function membersOf(value: unknown): Member[] {
  if (value === null || typeof value !== 'object') return []
  const at = value as Record<string, unknown>
  return Object.keys(at).flatMap((key): Member[] => [[at, key], ...membersOf(at[key])])
}

function changeMember(at: Record<string, unknown>, key: string, draw: Draw): void {
  switch (draw.below(6)) {
    case 0:
      if (Array.isArray(at)) at.splice(Number(key), 1)
      else delete at[key]
      return
    case 1:
      if (Array.isArray(at))
        at.push(...Array.from({ length: 1 + draw.below(70) }, () => structuredClone(at[Number(key)])))
      else at[draw.of(['x', '__proto__', 'toString', '\ud83d'])] = structuredClone(at[key])
      return
    case 2:
      if (typeof at[key] === 'number') at[key] = (at[key] as number) * draw.of([-1, 2, 10, 1000, 1e6, 0.1])
      return
    default:
      at[key] = otherThan(at[key], draw)
  }
}
