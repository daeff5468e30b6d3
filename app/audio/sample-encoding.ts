// Numbers with full scale 1 to stored samples: rounded to the nearest word, or dithered
// (TPDF) to it, or kept as 32-bit floats. Counts samples clipped to full scale.

import { createWordCoder } from '../dsp/conversion/word-coder.ts'
import type { Channels } from '../dsp/stage.ts'

/** What we write. 8-bit is only for unpacked FLAC of that depth. */
export type WaveEncoding = 'pcm-8' | 'pcm-16' | 'pcm-24' | 'float-32'

/** Stores samples as words or floats in a buffer. */
export interface SampleEncoder {
  /** Samples beyond full scale that were held at the nearest word; always 0 for floats. */
  readonly clippedSamples: number
  /**
   * Stores `frames` frames from index `from` on as frames `toFrame` and on of the buffer.
   * @returns index of the first frame with a sample that is not finite, or -1
   */
  encode(channels: Channels, from: number, frames: number, toFrame: number): number
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
  if (encoding === 'float-32') return createFloatEncoder(new Float32Array(buffer), channels)
  const bits = encoding === 'pcm-8' ? 8 : encoding === 'pcm-16' ? 16 : 24
  const bytes = new Uint8Array(buffer)
  const frameBytes = (bits / 8) * channels
  const coder = createWordCoder(bits, channels, ditherSeed)
  return {
    get clippedSamples() {
      return coder.clippedSamples
    },
    encode: (samples, from, frames, toFrame) =>
      coder.write(samples, from, frames, bytes, toFrame * frameBytes),
  }
}

function createFloatEncoder(to: Float32Array, channels: number): SampleEncoder {
  function encodeChannel(samples: Float64Array, from: number, frames: number, first: number): number {
    for (let i = from, j = first; i < from + frames; i++, j += channels) {
      const sample = samples[i]
      if (!Number.isFinite(sample)) return i
      to[j] = sample
    }
    return -1
  }
  return {
    clippedSamples: 0,
    encode(samples, from, frames, toFrame) {
      let bad = -1
      for (let channel = 0; channel < channels; channel++) {
        const place = encodeChannel(samples[channel], from, frames, toFrame * channels + channel)
        if (place >= 0 && (bad < 0 || place < bad)) bad = place
      }
      return bad
    },
  }
}
