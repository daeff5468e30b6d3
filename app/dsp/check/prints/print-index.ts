// Which of many prints may hold the performance of a new one, without comparing it with each of
// them: as audio fingerprints are found (Haitsma and Kalker 2002), windows of the new print lead to
// windows that look alike in the prints that are kept, and only there the phrase is compared.

import type { Span } from '../../maths/span.ts'
import type { VoicePrint } from '../voice-print.ts'
import { bitsAtRate, differingBits } from './print-bits.ts'
import { createWindowTable, grown, type WindowKind, type WindowTable } from './window-table.ts'

/** Prints by the windows they hold, for finding candidates. */
export interface PrintIndex {
  has(key: string): boolean
  /** @param print at any rate; it is brought to the rate of the index as a PrintComparer does */
  add(key: string, print: VoicePrint): void
  /**
   * Keys of the prints in which some phrase of `print` is found again, at any lag and with either polarity, in
   * the order in which they were added: all that a PrintComparer finds, and few others.
   * @param print at the rate of the index
   * @param isWanted the prints of other keys are left out
   */
  search(print: VoicePrint, phrases: readonly Span[], isWanted: (key: string) => boolean): string[]
}

/**
 * Windows of a third of a second, which one voice rarely has twice, and shorter ones for phrases that have no
 * room for many of those; a voice holds a note, or the song's notes, for a tenth. The sampled places are drawn
 * at random, so that no pitch has its period in them.
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
/** The longest windows are taken that fit side by side so often into half of a phrase, which may be all that is there of it. */
const WINDOWS_IN_HALF = 2

/**
 * Share of a phrase's bits that agree in a candidate: below the 0.85 that a PrintComparer asks for, so that it
 * decides, and above what chance gives, which is 0.5 and at most 0.6 over a phrase.
 */
const CANDIDATE_SHARE = 0.75
/** The same over the window that met, as a first look. */
const WINDOW_SHARE = 0.64

/** A print of the index: its first bit among those of all, and how many it has. */
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
  /** The bits of all prints, each from a new word on, with an empty word behind it. */
  let words = new Uint32Array(1 << 10)
  /** Index in `kept` for each of those words. */
  let owners = new Uint32Array(1 << 10)
  let usedWords = 0

  /** The table for a phrase, with the windows of all prints: made only once a phrase asks for that kind. */
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
      /** Whether a print is still looked for. */
      const isOpen = kept.map(({ key }) => isWanted(key))
      const found: number[] = []
      /** The lag that was tried last with each print: windows that follow one another say the same. */
      const triedLags = new Int32Array(kept.length)
      for (const { fromS, toS } of phrases) {
        const from = Math.max(0, Math.round(fromS * rateHz))
        const to = Math.min(own.length, Math.round(toS * rateHz))
        // A phrase that is only half there counts, as in a PrintComparer.
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
            if (!agrees(own.words, first, words, start + first + lag, last - first, CANDIDATE_SHARE)) return
            isOpen[index] = false
            found.push(index)
          })
        }
      }
      return found.sort((a, b) => a - b).map((index) => kept[index].key)
    },
  }
}

/** Whether so many bits agree, or so many differ, which is the other polarity. */
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
