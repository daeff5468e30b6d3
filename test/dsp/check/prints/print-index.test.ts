// The index of prints finds what comparing every print with every other finds, in copies with few errors
// all of it and in worse ones nearly all. The exhaustive search that it stands for lives here.

import { describe, expect, it } from 'vitest'
import { createPrintIndex } from '../../../../app/dsp/check/prints/print-index.ts'
import { createPrintComparer, type SharedSound } from '../../../../app/dsp/check/same-performance.ts'
import type { VoicePrint } from '../../../../app/dsp/check/voice-print.ts'
import { createRandom, type Random } from '../../../../app/dsp/maths/random.ts'
import type { Span } from '../../../../app/dsp/maths/span.ts'
import { TIGHT_DOUBLE_DEVIATIONS } from '../../../../app/dsp/voice/performance.ts'
import { checkOf, SINGERS, songTake } from '../../../signals/checking.ts'

type Store = ReadonlyMap<string, VoicePrint>
type Found = Readonly<Record<string, readonly SharedSound[]>>

const UNRELATED = 8
/** Of takes at 48 kHz, and at 44.1 kHz. */
const RATES_HZ = [1500, 44_100 / 32] as const

const bitOf = ({ bits, length }: VoicePrint, n: number): number =>
  n < 0 || n >= length ? 0 : (bits[n >> 3] >> (n & 7)) & 1

function printOf(length: number, bitAt: (n: number) => number, rateHz: number = RATES_HZ[0]): VoicePrint {
  const bits = new Uint8Array(Math.ceil(length / 8))
  for (let n = 0; n < length; n++) bits[n >> 3] |= bitAt(n) << (n & 7)
  return { rateHz, length, bits }
}

function comparedWith(
  print: VoicePrint,
  phrases: readonly Span[],
  all: Store,
  keys: Iterable<string>,
): Found {
  const longest = Math.max(
    ...[...all.values()].map(({ length, rateHz }) => Math.ceil((length * print.rateHz) / rateHz)),
  )
  const comparer = createPrintComparer(print, phrases, longest)
  const found = [...keys].map((key) => [key, comparer.compare(all.get(key)!)] as const)
  return Object.fromEntries(found.filter(([, shared]) => shared.length > 0))
}

const exhaustively = (print: VoicePrint, phrases: readonly Span[], all: Store): Found =>
  comparedWith(print, phrases, all, all.keys())

function byIndex(print: VoicePrint, phrases: readonly Span[], all: Store) {
  const index = createPrintIndex(print.rateHz)
  for (const [key, one] of all) index.add(key, one)
  const candidates = index.search(print, phrases, () => true)
  return { candidates, found: comparedWith(print, phrases, all, candidates) }
}

/** Generated voices: two takes of one song, a tight double of it, and another singer's song. */
const VOICES = [
  songTake(SINGERS[0], 1),
  songTake(SINGERS[0], 2),
  songTake(SINGERS[0], 3, { deviations: TIGHT_DOUBLE_DEVIATIONS }),
  songTake(SINGERS[1], 4),
].map(({ samples }) => checkOf(samples).print)

const between = (random: Random, low: number, high: number): number =>
  low + Math.floor((high - low) * random.uniform())
const oneOf = <T>(random: Random, list: readonly T[]): T => list[between(random, 0, list.length)]

/** A stretch of a voice. */
function cut(random: Random, from: readonly VoicePrint[], length: number): VoicePrint {
  const voice = oneOf(random, from)
  const start = between(random, 0, Math.max(1, voice.length - length))
  return printOf(Math.min(length, voice.length), (n) => bitOf(voice, start + n))
}

/** A fifth of a second to three seconds each, with pauses between them. */
function somePhrases(random: Random, { length, rateHz }: VoicePrint): Span[] {
  const phrases: Span[] = []
  for (let at = between(random, 0, Math.min(600, length / 3)); at + 300 < length; ) {
    const to = Math.min(length, at + between(random, 300, 4500))
    phrases.push({ fromS: at / rateHz, toS: to / rateHz })
    at = to + between(random, 100, 2000)
  }
  return phrases.length > 0 ? phrases : [{ fromS: 0, toS: length / rateHz }]
}

/**
 * A print with errors as copies have them: here and there, at the changes of sign as noise and another
 * moment of sampling make them, or in bursts.
 */
function damaged(random: Random, print: VoicePrint, mostErrors: number): (n: number) => number {
  const share = mostErrors * random.uniform()
  const kind = oneOf(random, ['scattered', 'at crossings', 'bursts'] as const)
  const flips = new Uint8Array(print.length)
  for (let n = 0; n < print.length; n++) {
    const isCrossing = bitOf(print, n) !== bitOf(print, n - 1)
    if (kind === 'scattered') flips[n] = random.uniform() < share ? 1 : 0
    else if (kind === 'at crossings') flips[n] = isCrossing && random.uniform() < 3 * share ? 1 : 0
    else if (random.uniform() < share / 15) {
      const end = Math.min(print.length, n + between(random, 10, 50))
      for (; n < end; n++) flips[n] = random.uniform() < 0.5 ? 1 : 0
    }
  }
  return (n) => bitOf(print, n) ^ (n >= 0 && n < flips.length ? flips[n] : 0)
}

/** A copy of a print: all of it moved, or a part of it in another take; with either polarity, at either rate. */
function related(random: Random, print: VoicePrint, mostErrors: number): VoicePrint {
  const bitAt = damaged(random, print, mostErrors)
  const inverted = between(random, 0, 2)
  const rateHz = oneOf(random, RATES_HZ)
  const step = print.rateHz / rateHz
  if (random.uniform() < 0.6) {
    const lag = between(random, -Math.floor(print.length / 2), print.length)
    const length = Math.floor((print.length + lag) / step)
    return printOf(
      length,
      (n) => {
        const from = Math.floor(n * step) - lag
        return from < 0 ? between(random, 0, 2) : bitAt(from) ^ inverted
      },
      rateHz,
    )
  }
  const host = cut(random, VOICES, between(random, print.length, 2 * print.length))
  const from = between(random, 0, Math.floor(print.length / 2))
  const to = between(random, from + Math.floor((print.length - from) / 2), print.length)
  const shift = between(random, 0, host.length) - from
  return printOf(
    Math.floor(Math.max(host.length, to + shift) / step),
    (n) => {
      const at = Math.floor(n * step)
      return at - shift >= from && at - shift < to ? bitAt(at - shift) ^ inverted : bitOf(host, at)
    },
    rateHz,
  )
}

describe('the index of prints', () => {
  it.each([
    { what: 'takes of 2 to 13 s', shortest: 3000, longest: 20_000, trials: 60 },
    { what: 'ad-libs of a quarter of a second to a second', shortest: 400, longest: 1500, trials: 150 },
  ])('finds what the exhaustive search finds, in $what', ({ shortest, longest, trials }) => {
    const random = createRandom(18)
    const lengthOfOne = (): number => between(random, shortest, longest)
    let shared = 0
    let candidates = 0
    let missed = 0
    for (let trial = 0; trial < trials; trial++) {
      const print = cut(random, VOICES, lengthOfOne())
      const phrases = somePhrases(random, print)
      const all = new Map([['noise', printOf(lengthOfOne(), () => between(random, 0, 2))]])
      for (let k = 0; k < UNRELATED; k++) all.set(`another ${k}`, cut(random, VOICES, lengthOfOne()))
      all.set('near copy', related(random, print, 0.1))
      all.set('worse copy', related(random, print, 0.3))
      const exhaustive = exhaustively(print, phrases, all)
      const indexed = byIndex(print, phrases, all)
      expect(exhaustive, `trial ${trial}`).toMatchObject(indexed.found)
      expect(indexed.found['near copy'], `trial ${trial}`).toEqual(exhaustive['near copy'])
      shared += Object.keys(exhaustive).length
      missed += Object.keys(exhaustive).length - Object.keys(indexed.found).length
      candidates += indexed.candidates.length
    }
    console.log(
      `  ${trials * (UNRELATED + 3)} pairs: ${shared} share something, ${missed} missed, ${candidates} candidates`,
    )
    // One in twenty phrases that share two thirds of their bits has no window whose sampled bits all agree.
    expect(missed).toBeLessThanOrEqual(shared / 20)
    // Neither an empty search nor a list of everything.
    expect(shared).toBeGreaterThan(trials)
    expect(candidates).toBeLessThan(2 * shared)
  })

  it('gives only what is asked for, in the order in which it was added', () => {
    const random = createRandom(3)
    const print = cut(random, VOICES, 9000)
    const phrases = [{ fromS: 0, toS: 6 }]
    const index = createPrintIndex(print.rateHz)
    for (const key of ['c', 'a', 'b']) index.add(key, print)
    expect(index.search(print, phrases, () => true)).toEqual(['c', 'a', 'b'])
    expect(index.search(print, phrases, (key) => key !== 'a')).toEqual(['c', 'b'])
    expect(['a', 'd'].map((key) => index.has(key))).toEqual([true, false])
  })

  it('finds a voice again between stretches that are all alike: digital silence, and hum', () => {
    const random = createRandom(4)
    const voice = cut(random, VOICES, 3000)
    // 6000 bits of each around the voice: zeros, and the sign of a hum of 150 Hz at 1.5 kHz.
    for (const around of [() => 0, (n: number) => (n % 10 < 5 ? 1 : 0)]) {
      const take = (at: number) =>
        printOf(15_000, (n) => (n >= at && n < at + 3000 ? bitOf(voice, n - at) : around(n)))
      const all = new Map([
        ['the same', take(2000)],
        ['no voice', printOf(15_000, around)],
      ])
      const phrases = [{ fromS: 9000 / voice.rateHz, toS: 12_000 / voice.rateHz }]
      const { candidates, found } = byIndex(take(9000), phrases, all)
      expect(candidates).toEqual(['the same'])
      expect(found).toEqual(exhaustively(take(9000), phrases, all))
    }
  })
})
