// How mended samples are stored, so that the written take and what was taken away add up to the original: in the
// take's own encoding, or in floats where a mended peak is beyond what its words hold.

import type { AudioFormat } from '../../audio/audio-source.ts'
import type { WaveEncoding } from '../../audio/sample-encoding.ts'

/** Bits of an integer encoding; null for floats. */
const bitsOf = (encoding: AudioFormat['encoding']): number | null =>
  encoding.startsWith('pcm-') ? Number(encoding.slice(4)) : null

export interface WrittenWords {
  readonly encoding: WaveEncoding
  /** The stored value of a mended sample. @param original that it replaces */
  stored(mended: number, original: number): number
  /** What was taken away, as it is stored. */
  removed(original: number, stored: number): number
}

/** Whether the words of the take hold a mended sample and its difference from the original. */
export function fitsWords(encoding: AudioFormat['encoding'], mended: number, original: number): boolean {
  const bits = bitsOf(encoding)
  if (bits === null) return true
  const most = 1 - 2 ** (1 - bits)
  const stored = toGrid(mended, 2 ** (bits - 1))
  const removed = original - stored
  return stored <= most && stored >= -1 && removed <= most && removed >= -1
}

/** @param fits whether every mended sample fits the words of the take */
export function writtenWords(encoding: AudioFormat['encoding'], fits: boolean): WrittenWords {
  const bits = bitsOf(encoding)
  if (bits !== null && fits) return inWords(encoding, 2 ** (bits - 1))
  if (bits === 32) return onGrid('float-64', 2 ** 31)
  // Up to 2 a 32-bit float holds every multiple of 2^-22, and up to 1 every word of 24 bits.
  if (bits !== null) return onGrid('float-32', 2 ** 22)
  if (encoding === 'float-64') {
    return { encoding, stored: (mended) => mended, removed: (original, stored) => original - stored }
  }
  return {
    encoding,
    // Rounded by way of the difference, so that both add up to the original where the float allows.
    stored: (mended, original) => Math.fround(original - Math.fround(original - Math.fround(mended))),
    removed: (original, stored) => Math.fround(original - stored),
  }
}

const toGrid = (value: number, steps: number): number => Math.round(value * steps) / steps

/** Hum may lift a sample at full scale beyond it by a word or two; what is held back counts as not removed. */
const inWords = (encoding: WaveEncoding, steps: number): WrittenWords => ({
  encoding,
  stored: (mended) => Math.max(-1, Math.min(1 - 1 / steps, toGrid(mended, steps))),
  removed: (original, stored) => original - stored,
})

const onGrid = (encoding: WaveEncoding, steps: number): WrittenWords => ({
  encoding,
  stored: (mended) => toGrid(mended, steps),
  removed: (original, stored) => original - stored,
})
