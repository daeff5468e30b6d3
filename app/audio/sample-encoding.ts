// Converts samples with full scale 1 to their stored form: PCM words, rounded with or without TPDF dither,
// or 32-bit floats. Counts samples clipped to full scale.

import { createWordCoder } from '../dsp/conversion/word-coder.ts'
import type { Channels } from '../dsp/stage.ts'

/** The encodings that are written; 8 and 32-bit words and 64-bit floats only for copies of takes that have them. */
export type WaveEncoding = 'pcm-8' | 'pcm-16' | 'pcm-24' | 'pcm-32' | 'float-32' | 'float-64'

/** Stores samples as words or floats in a buffer. */
export interface SampleEncoder {
  /** Number of samples beyond full scale that were clipped; always 0 for floats. */
  readonly clippedSamples: number
  /**
   * Stores `frames` frames of `channels`, starting at index `from`, at frame `toFrame` of the buffer.
   * @returns index in `channels` of the first frame with a sample that is not finite as stored, or -1
   */
  encode(channels: Channels, from: number, frames: number, toFrame: number): number
}

/**
 * An encoder into `buffer`.
 * @param ditherSeed null rounds without dither, for samples that already are words of this length; floats
 *   are never dithered
 */
export function createSampleEncoder(
  encoding: WaveEncoding,
  buffer: ArrayBuffer,
  channels: number,
  ditherSeed: number | null,
): SampleEncoder {
  if (encoding === 'float-32') return createFloatEncoder(new Float32Array(buffer), channels)
  if (encoding === 'float-64') return createFloatEncoder(new Float64Array(buffer), channels)
  if (encoding === 'pcm-32') return createLongWordEncoder(new Int32Array(buffer), channels)
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

function createFloatEncoder(to: Float32Array | Float64Array, channels: number): SampleEncoder {
  function encodeChannel(samples: Float64Array, from: number, frames: number, first: number): number {
    for (let i = from, j = first; i < from + frames; i++, j += channels) {
      // Checked as stored: a sample beyond 32-bit float becomes infinite only there.
      to[j] = samples[i]
      if (!Number.isFinite(to[j])) return i
    }
    return -1
  }
  return { clippedSamples: 0, encode: eachChannel(channels, encodeChannel) }
}

/** 32-bit words, rounded; a double holds them exactly. */
function createLongWordEncoder(to: Int32Array, channels: number): SampleEncoder {
  let clippedSamples = 0
  function encodeChannel(samples: Float64Array, from: number, frames: number, first: number): number {
    for (let i = from, j = first; i < from + frames; i++, j += channels) {
      const word = Math.round(samples[i] * 2 ** 31)
      if (!Number.isFinite(word)) return i
      to[j] = Math.max(-(2 ** 31), Math.min(2 ** 31 - 1, word))
      if (to[j] !== word) clippedSamples++
    }
    return -1
  }
  return {
    get clippedSamples() {
      return clippedSamples
    },
    encode: eachChannel(channels, encodeChannel),
  }
}

type EncodeChannel = (samples: Float64Array, from: number, frames: number, first: number) => number

const eachChannel =
  (channels: number, encodeChannel: EncodeChannel): SampleEncoder['encode'] =>
  (samples, from, frames, toFrame) => {
    let bad = -1
    for (let channel = 0; channel < channels; channel++) {
      const place = encodeChannel(samples[channel], from, frames, toFrame * channels + channel)
      if (place >= 0 && (bad < 0 || place < bad)) bad = place
    }
    return bad
  }
