// Stored samples to numbers with full scale 1: one loop per encoding over a typed view
// of the read buffer. Integers are divided by a power of two, which is exact.

import { endianness } from 'node:os'
import type { AudioFormat } from './audio-source.ts'

/**
 * Takes `frames` samples from sample index `first` on, every `stride`-th, into `out` from
 * index `at`.
 */
export type DecodeChannel = (
  first: number,
  stride: number,
  out: Float64Array,
  at: number,
  frames: number,
) => void

// The views read in the host's own order; every platform that the program ships for is little-endian.
if (endianness() !== 'LE') throw new Error('Takeloft runs on little-endian machines only')

/**
 * A decoder of what lies in `buffer`, from its first byte, in little-endian order.
 * @param buffer has a byte to spare behind its last sample
 * @param unsigned8 whether 8-bit samples are offset by 128
 */
export function createDecoder(
  encoding: AudioFormat['encoding'],
  buffer: ArrayBuffer,
  unsigned8: boolean,
): DecodeChannel {
  switch (encoding) {
    case 'pcm-8':
      return unsigned8 ? decodeUnsigned8(new Uint8Array(buffer)) : decodeSigned8(new Int8Array(buffer))
    case 'pcm-16':
      return decode16(new Int16Array(buffer))
    case 'pcm-24':
      return decode24(new DataView(buffer))
    case 'pcm-32':
      return decode32(new Int32Array(buffer))
    case 'float-32':
      return decodeFloat32(new Float32Array(buffer))
    case 'float-64':
      return decodeFloat64(new Float64Array(buffer))
  }
}

// One function per type of view: a shared loop would see several types and lose its speed.

function decodeUnsigned8(from: Uint8Array): DecodeChannel {
  return (first, stride, out, at, frames) => {
    for (let i = 0, j = first; i < frames; i++, j += stride) out[at + i] = (from[j] - 128) * 2 ** -7
  }
}

function decodeSigned8(from: Int8Array): DecodeChannel {
  return (first, stride, out, at, frames) => {
    for (let i = 0, j = first; i < frames; i++, j += stride) out[at + i] = from[j] * 2 ** -7
  }
}

function decode16(from: Int16Array): DecodeChannel {
  return (first, stride, out, at, frames) => {
    for (let i = 0, j = first; i < frames; i++, j += stride) out[at + i] = from[j] * 2 ** -15
  }
}

function decode24(from: DataView): DecodeChannel {
  return (first, stride, out, at, frames) => {
    const step = 3 * stride
    for (let i = 0, j = 3 * first; i < frames; i++, j += step) {
      // Four bytes in one reading, the last of which falls off; at the top of 32 bits the
      // sign comes by itself.
      out[at + i] = (from.getInt32(j, true) << 8) * 2 ** -31
    }
  }
}

function decode32(from: Int32Array): DecodeChannel {
  return (first, stride, out, at, frames) => {
    for (let i = 0, j = first; i < frames; i++, j += stride) out[at + i] = from[j] * 2 ** -31
  }
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

/** Turns big-endian samples of `sampleBytes` each, in place, into little-endian ones. */
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
