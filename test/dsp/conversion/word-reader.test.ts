// Words of a file to samples against Node's own Buffer.readIntLE: every depth, channels in
// turn, more than a block, and the two end words.

import { expect, it } from 'vitest'
import { readWords } from '../../../app/dsp/conversion/word-reader.ts'
import { randomWords } from '../../signals/wave-bytes.ts'

const FRAMES = 2500

it.each([1, 2, 3, 4].flatMap((wordBytes) => [1, 2, 32].map((channels) => [wordBytes, channels] as const)))(
  'words of %d bytes in %d channels are those over 2^(bits - 1)',
  (wordBytes, channels) => {
    const bytes = Buffer.from(
      Uint8Array.from(randomWords(8, FRAMES * channels * wordBytes, 3), (word) => word & 255),
    )
    const top = 2 ** (8 * wordBytes - 1)
    bytes.writeIntLE(-top, 0, wordBytes)
    bytes.writeIntLE(top - 1, bytes.length - wordBytes, wordBytes)
    for (const channel of [0, channels - 1]) {
      const out = new Float64Array(FRAMES + 5).fill(9)
      readWords(bytes, wordBytes, channel, channels, out, 3, FRAMES)
      for (let n = 0; n < FRAMES; n++) {
        expect(out[3 + n]).toBe(bytes.readIntLE((n * channels + channel) * wordBytes, wordBytes) / top)
      }
      expect([out[2], out[FRAMES + 3]]).toEqual([9, 9])
    }
  },
)
