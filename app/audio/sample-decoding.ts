// Converts stored samples to doubles with full scale 1: integer words in a WebAssembly kernel, other
// encodings in a loop over a typed view of the read buffer. Integers are divided by a power of two, which is exact.

import { endianness } from 'node:os'
import { readWords } from '../dsp/conversion/word-reader.ts'
import type { AudioFormat } from './audio-source.ts'

/**
 * Decodes `frames` samples into `out` from index `at`, reading every `stride`-th sample from
 * index `first`.
 */
export type DecodeChannel = (
  first: number,
  stride: number,
  out: Float64Array,
  at: number,
  frames: number,
) => void

// Typed arrays use the host's byte order; every supported platform is little-endian.
if (endianness() !== 'LE') throw new Error('Takeloft runs on little-endian machines only')

/**
 * Creates a decoder for the little-endian samples in `buffer`.
 * @param unsigned8 whether 8-bit samples are unsigned, that is offset by 128
 */
export function createDecoder(
  encoding: AudioFormat['encoding'],
  buffer: ArrayBuffer,
  unsigned8: boolean,
): DecodeChannel {
  switch (encoding) {
    case 'pcm-8':
      return unsigned8 ? decodeUnsigned8(new Uint8Array(buffer)) : decodeWords(new Uint8Array(buffer), 1)
    case 'pcm-16':
      return decodeWords(new Uint8Array(buffer), 2)
    case 'pcm-24':
      return decodeWords(new Uint8Array(buffer), 3)
    case 'pcm-32':
      return decodeWords(new Uint8Array(buffer), 4)
    case 'float-32':
      return decodeFloat32(new Float32Array(buffer))
    case 'float-64':
      return decodeFloat64(new Float64Array(buffer))
  }
}

// One function per view type: a shared loop would be polymorphic, which is slower.

function decodeUnsigned8(from: Uint8Array): DecodeChannel {
  return (first, stride, out, at, frames) => {
    for (let i = 0, j = first; i < frames; i++, j += stride) out[at + i] = (from[j] - 128) * 2 ** -7
  }
}

function decodeWords(from: Uint8Array, wordBytes: number): DecodeChannel {
  return (first, stride, out, at, frames) => readWords(from, wordBytes, first, stride, out, at, frames)
}

function decodeFloat32(from: Float32Array): DecodeChannel {
  return (first, stride, out, at, frames) => {
    for (let i = 0, j = first; i < frames; i++, j += stride) out[at + i] = from[j]
  }
}

function decodeFloat64(from: Float64Array): DecodeChannel {
  return (first, stride, out, at, frames) => {
    for (let i = 0, j = first; i < frames; i++, j += stride) out[at + i] = from[j]
  }
}

/** Converts big-endian samples of `sampleBytes` each to little-endian, in place. */
export function swapBytes(bytes: Buffer, sampleBytes: number): void {
  if (sampleBytes === 2) bytes.swap16()
  else if (sampleBytes === 4) bytes.swap32()
  else if (sampleBytes === 8) bytes.swap64()
  else if (sampleBytes === 3) {
    for (let i = 0; i + 2 < bytes.length; i += 3) {
      const first = bytes[i]
      bytes[i] = bytes[i + 2]
      bytes[i + 2] = first
    }
  }
}
