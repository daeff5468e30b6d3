// Finds which of many prints may contain the performance of a new one, without comparing it with
// each of them. As in audio fingerprinting (Haitsma and Kalker 2002), windows of the new print are
// looked up among the windows of the stored prints, and the phrase is compared only where they match.

import type { Span } from '../../maths/span.ts'
import { leastAgreement } from '../same-performance.ts'
import type { VoicePrint } from '../voice-print.ts'
import { bitsAtRate, differingBits } from './print-bits.ts'
import { createWindowTable, grown, type WindowKind, type WindowTable } from './window-table.ts'

/** An index of prints by their windows, for finding candidates. */
export interface PrintIndex {
  has(key: string): boolean
  /** @param print at any rate; it is brought to the rate of the index as a PrintComparer does */
  add(key: string, print: VoicePrint): void
  /**
   * Keys of the prints that have some phrase of `print` as well, at any lag and with either polarity, in the
   * order in which they were added: nearly all that a PrintComparer would match, and few others.
   * @param print at the rate of the index
   * @param isWanted prints whose key it rejects are left out
   */
  search(print: VoicePrint, phrases: readonly Span[], isWanted: (key: string) => boolean): string[]
}

/**
 * Windows of a third of a second rarely recur in one voice; shorter ones are for phrases that have no room
 * for many of those. Windows of a tenth do recur, because a voice sustains one note, or repeats the song's
 * notes, for that long. The sampled bits are drawn at random, so that their spacing fits no pitch period.
 */
const KINDS: readonly WindowKind[] = [
  {
    bits: 512,
    sampled: [
      0, 25, 45, 69, 102, 173, 183, 186, 211, 219, 256, 289, 315, 373, 399, 423, 446, 480, 496, 502, 511,
    ],
    largestStride: 8,
  },
  {
    bits: 224,
    sampled: [0, 3, 12, 18, 39, 47, 65, 69, 79, 95, 105, 109, 111, 124, 137, 150, 161, 181, 192, 221, 223],
    largestStride: 8,
  },
  {
    bits: 96,
    sampled: [0, 4, 7, 15, 19, 21, 23, 25, 28, 34, 42, 58, 60, 65, 74, 77, 86, 95],
    largestStride: 16,
  },
]
/**
 * How many windows have to fit side by side into half of a phrase, which may be all of it that the other
 * print has; the longest windows that fit are used.
 */
const WINDOWS_IN_HALF = 2

/** Least share of the matching window's bits that agree, as a quick first test before that of a phrase. */
const WINDOW_SHARE = 0.64

/** A print in the index: its first bit among the bits of all prints, and its length in bits. */
interface KeptPrint {
  readonly key: string
  readonly start: number
  readonly length: number
}

/** @param rateHz of the prints that are searched for */
export function createPrintIndex(rateHz: number): PrintIndex {
  const tables = KINDS.map(createWindowTable)
  const kept: KeptPrint[] = []
  const keys = new Set<string>()
  /** The bits of all prints; each print starts on a new word and ends with an empty one. */
  let words = new Uint32Array(1 << 10)
  /** Index in `kept` for each of those words. */
  let owners = new Uint32Array(1 << 10)
  let usedWords = 0

  /** The table for a phrase, with the windows of all prints; filled only when a phrase needs its kind. */
  const tableFor = (bitsOfHalf: number): WindowTable => {
    const table =
      tables.find(({ windowBits }) => bitsOfHalf >= WINDOWS_IN_HALF * windowBits) ?? tables.at(-1)!
    for (const { start, length } of kept.slice(table.stretches)) table.add(words, start, length)
    return table
  }

  return {
    has: (key) => keys.has(key),

    add(key, print) {
      const own = bitsAtRate(print, rateHz)
      const start = 32 * usedWords
      const end = usedWords + own.words.length
      words = grown(words, end)
      owners = grown(owners, end)
      words.set(own.words, usedWords)
      owners.fill(kept.length, usedWords, end)
      usedWords = end
      kept.push({ key, start, length: own.length })
      keys.add(key)
    },

    search(print, phrases, isWanted) {
      const own = bitsAtRate(print, rateHz)
      /** Whether each print is wanted and not found yet. */
      const isOpen = kept.map(({ key }) => isWanted(key))
      const found: number[] = []
      /** The lag that was tried last with each print: consecutive windows give the same one. */
      const triedLags = new Int32Array(kept.length)
      for (const { fromS, toS } of phrases) {
        const from = Math.max(0, Math.round(fromS * rateHz))
        const to = Math.min(own.length, Math.round(toS * rateHz))
        // Half of a phrase is enough, as in a PrintComparer.
        const half = (to - from) / 2
        const table = tableFor(half)
        triedLags.fill(-(2 ** 31))
        for (let at = from; at + table.windowBits <= to; at++) {
          table.meet(own.words, at, (place) => {
            const index = owners[place >>> 5]
            if (!isOpen[index]) return
            const { start, length } = kept[index]
            const lag = place - start - at
            if (triedLags[index] === lag) return
            if (!agrees(own.words, at, words, place, table.windowBits, WINDOW_SHARE)) return
            triedLags[index] = lag
            const first = Math.max(from, -lag)
            const last = Math.min(to, length - lag)
            if (last - first < half) return
            if (
              !agrees(own.words, first, words, start + first + lag, last - first, leastAgreement(to - from))
            )
              return
            isOpen[index] = false
            found.push(index)
          })
        }
      }
      return found.sort((a, b) => a - b).map((index) => kept[index].key)
    },
  }
}

/** Whether at least `share` of the bits agree, or differ, which is the opposite polarity. */
function agrees(
  one: Uint32Array,
  oneFrom: number,
  two: Uint32Array,
  twoFrom: number,
  count: number,
  share: number,
): boolean {
  const differing = differingBits(one, oneFrom, two, twoFrom, count)
  return Math.max(differing, count - differing) >= share * count
}
