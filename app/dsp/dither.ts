// From full-scale samples to integer words: plain rounding where the samples are
// words already, and rounding with TPDF dither where they are not, so that the error
// is noise of constant power that knows nothing of the signal.
// Source: Lipshitz, Wannamaker and Vanderkooy, "Quantization and dither: a theoretical
// survey", JAES 40(5), 1992 (from memory): two uniform values summed, 2 LSB peak to peak.

import { createRandom } from './random.ts'

/** Nearest word of `bits` bits to a sample (full scale = 1), held at the two end words. */
export function wordFromSample(sample: number, bits: number): number {
  return roundToWord(sample * 2 ** (bits - 1), bits)
}

export interface TpdfDither {
  /**
   * One word of `bits` bits for a sample of one channel. Each channel has a noise of
   * its own; words depend only on the seed and on how many went before in that channel.
   */
  quantise(channel: number, sample: number, bits: number): number
}

/** Seeded TPDF dither, 2 LSB peak to peak: error power LSB^2 / 4. */
export function createTpdfDither(seed: number, channels: number): TpdfDither {
  // Seeds that are far apart, so that neighbouring seeds share no channel's noise.
  const noises = Array.from({ length: channels }, (_, channel) =>
    createRandom(seed ^ Math.imul(channel, 0x632be5ab)),
  )
  return {
    quantise(channel, sample, bits) {
      const noise = noises[channel]
      return roundToWord(sample * 2 ** (bits - 1) + noise.uniform() - noise.uniform(), bits)
    },
  }
}

function roundToWord(scaled: number, bits: number): number {
  const top = 2 ** (bits - 1)
  return Math.min(Math.max(Math.floor(scaled + 0.5), -top), top - 1)
}
