// From full-scale samples to integer words with TPDF dither, so that the error of
// rounding is noise of constant power that knows nothing of the signal.
// Source: Lipshitz, Wannamaker and Vanderkooy, "Quantization and dither: a theoretical
// survey", JAES 40(5), 1992 (from memory): two uniform values summed, 2 LSB peak to peak.

import { createRandom, xoshiroStateFromSeed } from '../maths/random.ts'

export interface TpdfDither {
  /**
   * The word of `bits` bits for a sample (full scale = 1) of one channel, held at the
   * two end words. Each channel has a noise of its own; words depend only on the seed
   * and on how many went before in that channel.
   */
  quantise(channel: number, sample: number, bits: number): number
}

/** Seeded TPDF dither, 2 LSB peak to peak: error power LSB^2 / 4. */
export function createTpdfDither(seed: number, channels: number): TpdfDither {
  const noises = channelSeeds(seed, channels).map(createRandom)
  return {
    quantise(channel, sample, bits) {
      const noise = noises[channel]
      const top = 2 ** (bits - 1)
      const word = Math.floor(sample * top + noise.uniform() - noise.uniform() + 0.5)
      return Math.min(Math.max(word, -top), top - 1)
    },
  }
}

/** The generators of every channel's noise as they begin, for whoever draws from them by other means. */
export function ditherStates(seed: number, channels: number): Uint32Array[] {
  return channelSeeds(seed, channels).map((one) => Uint32Array.from(xoshiroStateFromSeed(one)))
}

/** Seeds that are far apart, so that neighbouring seeds share no channel's noise. */
function channelSeeds(seed: number, channels: number): number[] {
  return Array.from({ length: channels }, (_, channel) => seed ^ Math.imul(channel, 0x632be5ab))
}
