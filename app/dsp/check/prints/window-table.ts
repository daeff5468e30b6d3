// An inverted index over windows of prints: a few sampled bits of a window are the key to every stored
// window with the same ones. The bits are sampled over the whole window, which finds neighbours in
// Hamming distance (Indyk and Motwani 1998): with a key of 20 bits, a share p ^ 20 of the windows that
// agree in a share p of their bits match, and one in 2 ^ 20 of independent ones.

/** A kind of window: its length, and the bits that make its key. */
export interface WindowKind {
  readonly bits: number
  /** The first bit gives the polarity, and each of the others is one bit of the key. */
  readonly sampled: readonly number[]
  /** Bits between the stored windows of a long print; those of a short one are closer together. */
  readonly largestStride: number
}

/** A hash table from windows to their places. */
export interface WindowTable {
  readonly windowBits: number
  /** How many stretches have been added. */
  readonly stretches: number
  /**
   * Stores the windows of a stretch.
   * @param words the bits of all stretches, this one after the others
   */
  add(words: Uint32Array, start: number, length: number): void
  /** Calls `hear` with the place of every stored window with the key of the one at `at`, newest first. */
  meet(words: Uint32Array, at: number, hear: (place: number) => void): void
}

/** A print of a few seconds has at least this many windows. */
const MIN_WINDOWS = 1500
/**
 * Most windows with the same key that are stored for one stretch: periods of a steady tone, or of hum
 * in a pause.
 */
const MOST_ALIKE = 16

/** An empty table. */
export function createWindowTable({ bits, sampled, largestStride }: WindowKind): WindowTable {
  /** The newest window of each key; `before` gives the previous one with the same key. -1 for none. */
  const newest = new Int32Array(2 ** (sampled.length - 1)).fill(-1)
  let before = new Int32Array(1 << 10)
  let places = new Uint32Array(1 << 10)
  let count = 0
  let stretches = 0

  /** -1 where all sampled bits are the same, as in digital silence, which would match everywhere. */
  const keyOf = (words: Uint32Array, at: number): number => {
    const polarity = (words[at >>> 5] >>> (at & 31)) & 1
    let key = 0
    for (let k = 1; k < sampled.length; k++) {
      const bit = at + sampled[k]
      key = (key << 1) | (((words[bit >>> 5] >>> (bit & 31)) & 1) ^ polarity)
    }
    return key === 0 ? -1 : key
  }
  const hasEnough = (key: number, start: number): boolean => {
    let window = newest[key]
    for (let alike = 0; alike < MOST_ALIKE; alike++) {
      if (window < 0 || places[window] < start) return false
      window = before[window]
    }
    return true
  }

  return {
    windowBits: bits,
    get stretches() {
      return stretches
    },
    add(words, start, length) {
      stretches++
      const stride = Math.min(largestStride, Math.max(1, Math.floor(length / MIN_WINDOWS)))
      const most = count + Math.ceil(length / stride)
      before = grown(before, most)
      places = grown(places, most)
      for (let at = start; at + bits <= start + length; at += stride) {
        const key = keyOf(words, at)
        if (key < 0 || hasEnough(key, start)) continue
        before[count] = newest[key]
        places[count] = at
        newest[key] = count++
      }
    },
    meet(words, at, hear) {
      const key = keyOf(words, at)
      if (key < 0) return
      for (let window = newest[key]; window >= 0; window = before[window]) hear(places[window])
    },
  }
}

/** The list with room for `length` entries: itself, or a copy of at least twice its length. */
export function grown<T extends Uint32Array | Int32Array>(list: T, length: number): T {
  if (list.length >= length) return list
  const larger = new (list.constructor as new (length: number) => T)(2 ** Math.ceil(Math.log2(length)))
  larger.set(list)
  return larger
}
