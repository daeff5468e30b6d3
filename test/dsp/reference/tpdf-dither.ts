// From full-scale samples to integer words with TPDF dither, one sample after another.

import { ditherSeeds } from '../../../app/dsp/conversion/dither.ts'
import { createRandom } from '../../../app/dsp/maths/random.ts'

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
  const noises = ditherSeeds(seed, channels).map(createRandom)
  return {
    quantise(channel, sample, bits) {
      const noise = noises[channel]
      const top = 2 ** (bits - 1)
      const word = Math.floor(sample * top + noise.uniform() - noise.uniform() + 0.5)
      return Math.min(Math.max(word, -top), top - 1)
    },
  }
}
