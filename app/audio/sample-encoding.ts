// Numbers with full scale 1 to stored samples: rounded to the nearest word, or dithered
// (TPDF) to it, or kept as 32-bit floats. Counts what had to be held at full scale.

import { createTpdfDither } from '../dsp/dither.ts'

/** What we write. 8-bit is only for unpacked FLAC of that depth. */
export type WaveEncoding = 'pcm-8' | 'pcm-16' | 'pcm-24' | 'float-32'

export interface SampleEncoder {
  /** Samples beyond full scale that were held at the nearest word; always 0 for floats. */
  readonly clippedSamples: number
  /**
   * Stores `frames` samples of one channel from index `from` on, as sample indices
   * `first`, `first + stride`, … of the buffer.
   * @returns index in `samples` of the first one that is not finite, or -1
   */
  encode(
    channel: number,
    samples: Float64Array,
    from: number,
    frames: number,
    first: number,
    stride: number,
  ): number
}

/**
 * An encoder into `buffer`.
 * @param ditherSeed null rounds exactly, for material that lies on the words already;
 *   floats are never dithered
 */
export function createSampleEncoder(
  encoding: WaveEncoding,
  buffer: ArrayBuffer,
  channels: number,
  ditherSeed: number | null,
): SampleEncoder {
  if (encoding === 'float-32') return createFloatEncoder(new Float32Array(buffer))
  const bits = encoding === 'pcm-8' ? 8 : encoding === 'pcm-16' ? 16 : 24
  return createWordEncoder(bits, buffer, ditherSeed === null ? null : createTpdfDither(ditherSeed, channels))
}

function createFloatEncoder(to: Float32Array): SampleEncoder {
  return {
    clippedSamples: 0,
    encode(_channel, samples, from, frames, first, stride) {
      for (let i = from, j = first; i < from + frames; i++, j += stride) {
        const sample = samples[i]
        if (!Number.isFinite(sample)) return i
        to[j] = sample
      }
      return -1
    },
  }
}

function createWordEncoder(
  bits: 8 | 16 | 24,
  buffer: ArrayBuffer,
  dither: ReturnType<typeof createTpdfDither> | null,
): SampleEncoder {
  const bytes = new Uint8Array(buffer)
  const words16 = new Int16Array(buffer)
  const top = 2 ** (bits - 1)
  let clippedSamples = 0
  return {
    get clippedSamples() {
      return clippedSamples
    },
    encode(channel, samples, from, frames, first, stride) {
      let clipped = 0
      for (let i = from, j = first; i < from + frames; i++, j += stride) {
        const sample = samples[i]
        if (!Number.isFinite(sample)) return i
        const scaled = sample * top
        let word = dither === null ? Math.floor(scaled + 0.5) : dither.quantise(channel, sample, bits)
        // Judged before the dither, which must not add to the count.
        if (scaled >= top - 0.5) {
          word = top - 1
          clipped++
        } else if (scaled < -top - 0.5) {
          word = -top
          clipped++
        }
        if (bits === 24) {
          const at = 3 * j
          bytes[at] = word
          bytes[at + 1] = word >> 8
          bytes[at + 2] = word >> 16
        } else if (bits === 16) words16[j] = word
        else bytes[j] = word + 128
      }
      clippedSamples += clipped
      return -1
    },
  }
}
