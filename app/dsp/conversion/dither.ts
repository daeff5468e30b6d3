// The noise of TPDF dither: two uniform values, one subtracted from the other, 2 LSB peak to peak, so
// that the rounding error is noise of constant power, independent of the signal.
// Source: Lipshitz, Wannamaker and Vanderkooy, "Quantization and dither: a theoretical
// survey", JAES 40(5), 1992 (from memory).

import { xoshiroStateFromSeed } from '../maths/random.ts'

/**
 * Seed of a file's dither. Files that are played together must not share their noise: it would add up by 6 dB
 * where independent noise adds up by 3.
 * @param identity hexadecimal hash of everything that determines the file's sound and its place among other
 *   files, so that the same file gets the same noise each time
 */
export const ditherSeedOf = (identity: string): number => Number.parseInt(identity.slice(0, 8), 16)

/**
 * Seeds of every channel's own noise generator, far apart, so that neighbouring `seed`s share no
 * channel's noise.
 */
export function ditherSeeds(seed: number, channels: number): number[] {
  return Array.from({ length: channels }, (_, channel) => seed ^ Math.imul(channel, 0x632be5ab))
}

/** Initial state of every channel's xoshiro128++ generator, four words each. */
export function ditherStates(seed: number, channels: number): Uint32Array[] {
  return ditherSeeds(seed, channels).map((one) => Uint32Array.from(xoshiroStateFromSeed(one)))
}
