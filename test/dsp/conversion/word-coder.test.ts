import { describe, expect, it } from 'vitest'
import { createWordCoder } from '../../../app/dsp/conversion/word-coder.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { createTpdfDither } from '../reference/tpdf-dither.ts'

const FRAMES = 5000
const WORD_BYTES = { 8: 1, 16: 2, 24: 3 } as const
type Bits = keyof typeof WORD_BYTES

/** Reads a little-endian word; 8-bit words are stored with an offset of 128. */
function wordAt(bytes: Uint8Array, at: number, bits: Bits): number {
  if (bits === 8) return bytes[at] - 128
  const low = bytes[at] | (bytes[at + 1] << 8)
  return bits === 16 ? (low << 16) >> 16 : ((low | (bytes[at + 2] << 16)) << 8) >> 8
}

/** Encodes all frames with a new coder, in blocks of varying size. */
function encode(channels: readonly Float64Array[], bits: Bits, seed: number | null) {
  const coder = createWordCoder(bits, channels.length, seed)
  const frameBytes = WORD_BYTES[bits] * channels.length
  const bytes = new Uint8Array(FRAMES * frameBytes)
  const blocks = [1, 7, 1024, 64, 2500]
  for (let from = 0, turn = 0; from < FRAMES; turn++) {
    const count = Math.min(blocks[turn % blocks.length], FRAMES - from)
    expect(coder.write(channels, from, count, bytes, from * frameBytes)).toBe(-1)
    from += count
  }
  return { bytes, clippedSamples: coder.clippedSamples }
}

/** Loud enough to exceed full scale now and then. */
const noises = [1, 2, 3].map((seed) => whiteNoise(FRAMES, seed, 1.2))

describe.each<[Bits, number]>([
  [8, 1],
  [16, 1],
  [24, 1],
  [16, 2],
  [24, 2],
  [24, 3],
])('%d bits, %d channels', (bits, channels) => {
  const input = noises.slice(0, channels)

  it('with dither, writes the words of the reference dither', () => {
    const dither = createTpdfDither(7, channels)
    const { bytes } = encode(input, bits, 7)
    for (let n = 0, at = 0; n < FRAMES; n++) {
      for (let channel = 0; channel < channels; channel++, at += WORD_BYTES[bits]) {
        expect(wordAt(bytes, at, bits)).toBe(dither.quantise(channel, input[channel][n], bits))
      }
    }
  })

  it('without dither, writes the nearest word within full scale and counts clipped samples', () => {
    const top = 2 ** (bits - 1)
    const { bytes, clippedSamples } = encode(input, bits, null)
    let clipped = 0
    for (let n = 0, at = 0; n < FRAMES; n++) {
      for (let channel = 0; channel < channels; channel++, at += WORD_BYTES[bits]) {
        const nearest = Math.floor(input[channel][n] * top + 0.5)
        if (nearest > top - 1 || nearest < -top) clipped++
        expect(wordAt(bytes, at, bits)).toBe(Math.min(Math.max(nearest, -top), top - 1))
      }
    }
    expect(clipped).toBeGreaterThan(10)
    expect(clippedSamples).toBe(clipped)
  })
})

it.each([Number.NaN, Infinity, -Infinity])('reports the first frame that holds %d', (value) => {
  const left = new Float64Array(3000)
  const right = new Float64Array(3000)
  left[2200] = value
  right[2100] = value
  const coder = createWordCoder(24, 2, 1)
  const bytes = new Uint8Array(18_000)
  expect(coder.write([left, right], 0, 2000, bytes, 0)).toBe(-1)
  expect(coder.write([left, right], 2000, 1000, bytes, 12_000)).toBe(2100)
})
