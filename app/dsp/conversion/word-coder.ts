// Converts samples to the integer words of a file, block by block on the kernels and with the
// TPDF dither of dither.ts.

import { BLOCK_FRAMES, type Channels } from '../stage.ts'
import { bytesOf, copyIn, createWorkRows, kernels, wordsOf } from '../wasm/kernels.ts'
import { NO_ROW, type Row } from '../wasm/row.ts'
import { ditherStates } from './dither.ts'

interface WordCoder {
  /** Samples beyond full scale so far, which were clipped to the nearest word. */
  readonly clippedSamples: number
  /**
   * Writes the words of `frames` frames from index `from` on, little-endian and frame by frame.
   * @param bytes gets them from `at` on
   * @returns index of the first frame with a sample that is not finite, or -1; the written
   *   words are invalid unless -1
   */
  write(channels: Channels, from: number, frames: number, bytes: Uint8Array, at: number): number
}

/**
 * @param bits 8 (offset by 128), 16 or 24
 * @param ditherSeed null rounds to the nearest word, for samples that are exact words already
 */
export function createWordCoder(bits: 8 | 16 | 24, channels: number, ditherSeed: number | null): WordCoder {
  const wordBytes = bits / 8
  const frameBytes = wordBytes * channels
  const rows = createWorkRows()
  const sound = rows.row(BLOCK_FRAMES)
  const noise = rows.row(2)
  const coded = rows.row(Math.ceil((BLOCK_FRAMES * frameBytes) / 8))
  const noiseWords = wordsOf(noise, 4)
  const codedBytes = bytesOf(coded, BLOCK_FRAMES * frameBytes)
  const states = ditherSeed === null ? null : ditherStates(ditherSeed, channels)
  let clippedSamples = 0

  /** At most BLOCK_FRAMES, to `codedBytes`. */
  function writeBlock(channel: number, samples: Float64Array, from: number, frames: number): number {
    copyIn(samples, sound, frames, from)
    if (states !== null) noiseWords.set(states[channel])
    const outcome = kernels.writeWords(
      sound,
      frames,
      (coded + channel * wordBytes) as Row,
      frameBytes,
      wordBytes,
      2 ** (bits - 1),
      states === null ? NO_ROW : noise,
    )
    if (outcome < 0) return from - 1 - outcome
    if (states !== null) states[channel].set(noiseWords)
    clippedSamples += outcome
    return -1
  }

  return {
    get clippedSamples() {
      return clippedSamples
    },
    write(samples, from, frames, bytes, at) {
      for (let done = 0; done < frames; ) {
        const count = Math.min(BLOCK_FRAMES, frames - done)
        let bad = -1
        for (let channel = 0; channel < channels; channel++) {
          const place = writeBlock(channel, samples[channel], from + done, count)
          if (place >= 0 && (bad < 0 || place < bad)) bad = place
        }
        if (bad >= 0) return bad
        const length = count * frameBytes
        bytes.set(
          count === BLOCK_FRAMES ? codedBytes : codedBytes.subarray(0, length),
          at + done * frameBytes,
        )
        done += count
      }
      return -1
    },
  }
}
