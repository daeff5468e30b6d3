// Seeded random numbers: dither, generated voices and test noise draw from here, so
// that the same seed gives the same bytes everywhere.
// Source: xoshiro128** 1.1 (Blackman and Vigna, "Scrambled linear pseudorandom number
// generators", ACM TOMS 47(4), 2021), public domain; its state is filled from the seed
// by SplitMix32 (the finaliser of MurmurHash3 over a Weyl sequence).

/** The four words of state, not all 0. */
type XoshiroState = readonly [number, number, number, number]

/** xoshiro128**: each call gives the next word, an integer from 0 to 2^32 - 1. */
export function createXoshiro(state: XoshiroState): () => number {
  let [s0, s1, s2, s3] = state
  return () => {
    const product = Math.imul(s1, 5)
    const word = Math.imul((product << 7) | (product >>> 25), 9)
    const shifted = s1 << 9
    s2 ^= s0
    s3 ^= s1
    s1 ^= s2
    s0 ^= s3
    s2 ^= shifted
    s3 = (s3 << 11) | (s3 >>> 21)
    return word >>> 0
  }
}

/** A seeded stream of random numbers. */
export interface Random {
  /** Uniform over [0, 1), in steps of 2^-32. */
  uniform(): number
  /** Normal with mean 0 and variance 1, up to 6.6 standard deviations. */
  normal(): number
}

/** A generator for any integer seed; seeds are taken modulo 2^32. */
export function createRandom(seed: number): Random {
  const nextWord = createXoshiro(xoshiroStateFromSeed(seed))
  const uniform = () => nextWord() / 4294967296
  let spare = Number.NaN
  return {
    uniform,
    // Box and Muller's method, which gives two at a time.
    normal() {
      if (!Number.isNaN(spare)) {
        const kept = spare
        spare = Number.NaN
        return kept
      }
      const radius = Math.sqrt(-2 * Math.log(1 - uniform()))
      const angle = 2 * Math.PI * uniform()
      spare = radius * Math.sin(angle)
      return radius * Math.cos(angle)
    },
  }
}

/** The state with which `createRandom` begins. */
export function xoshiroStateFromSeed(seed: number): XoshiroState {
  let weyl = seed | 0
  const next = () => {
    weyl = (weyl + 0x9e3779b9) | 0
    let word = weyl ^ (weyl >>> 16)
    word = Math.imul(word, 0x85ebca6b)
    word ^= word >>> 13
    word = Math.imul(word, 0xc2b2ae35)
    return word ^ (word >>> 16)
  }
  return [next(), next(), next(), next()]
}
