// A print's bits in words of 32, so that stretches of two prints are compared a word at a time.

import type { VoicePrint } from '../voice-print.ts'

interface PrintBits {
  /** Lowest bit first, with an empty word at the end. */
  readonly words: Uint32Array
  readonly length: number
}

/** A print's bits, resampled to a rate: each is the print's last bit at or before that moment. */
export function bitsAtRate(
  { rateHz: printRateHz, length: printLength, bits }: VoicePrint,
  rateHz: number,
): PrintBits {
  const step = printRateHz / rateHz
  const length = Math.floor(printLength / step)
  const words = new Uint32Array((length >>> 5) + 2)
  for (let n = 0; n < length; n++) {
    const from = Math.floor(n * step)
    words[n >>> 5] |= ((bits[from >> 3] >> (from & 7)) & 1) << (n & 31)
  }
  return { words, length }
}

/** How many of `count` bits differ between `one` from bit `oneFrom` on and `two` from bit `twoFrom` on. */
export function differingBits(
  one: Uint32Array,
  oneFrom: number,
  two: Uint32Array,
  twoFrom: number,
  count: number,
): number {
  let differing = 0
  let at = 0
  for (; at + 32 <= count; at += 32) {
    differing += ones(wordAt(one, oneFrom + at) ^ wordAt(two, twoFrom + at))
  }
  const rest = count - at
  if (rest > 0) {
    differing += ones((wordAt(one, oneFrom + at) ^ wordAt(two, twoFrom + at)) & ((1 << rest) - 1))
  }
  return differing
}

/** 32 bits from any bit position on. */
function wordAt(words: Uint32Array, bit: number): number {
  const at = bit >>> 5
  const shift = bit & 31
  return shift === 0 ? words[at] | 0 : (words[at] >>> shift) | (words[at + 1] << (32 - shift))
}

function ones(word: number): number {
  let sum = word - ((word >>> 1) & 0x5555_5555)
  sum = (sum & 0x3333_3333) + ((sum >>> 2) & 0x3333_3333)
  return Math.imul((sum + (sum >>> 4)) & 0x0f0f_0f0f, 0x0101_0101) >>> 24
}
