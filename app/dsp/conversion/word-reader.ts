// Converts the signed integer words of a file to samples, block by block and exactly.

import { BLOCK_FRAMES } from '../stage.ts'
import { bytesOf, createWorkRows, kernels, viewOf } from '../wasm/kernels.ts'

/** Room for a block of 4 channels; with more channels fewer frames are read at a time. */
const WORDS_BYTES = 16 * BLOCK_FRAMES

const rows = createWorkRows()
const wordRow = rows.row(WORDS_BYTES / 8)
const wordBytesView = bytesOf(wordRow, WORDS_BYTES)
const sampleRow = rows.row(BLOCK_FRAMES)
const block = viewOf(sampleRow, BLOCK_FRAMES)

/**
 * Reads every `stride`-th word from word `first` on into `out` from index `at`, full scale 1.
 * @param bytes the words, little-endian
 * @param wordBytes 1 to 4
 */
export function readWords(
  bytes: Uint8Array,
  wordBytes: number,
  first: number,
  stride: number,
  out: Float64Array,
  at: number,
  frames: number,
): void {
  const frameBytes = wordBytes * stride
  const most = Math.min(BLOCK_FRAMES, Math.floor(WORDS_BYTES / frameBytes))
  for (let done = 0; done < frames; ) {
    const count = Math.min(most, frames - done)
    const from = first * wordBytes + done * frameBytes
    wordBytesView.set(bytes.subarray(from, from + (count - 1) * frameBytes + wordBytes))
    kernels.readWords(wordRow, count, frameBytes, wordBytes, sampleRow)
    out.set(count === BLOCK_FRAMES ? block : block.subarray(0, count), at + done)
    done += count
  }
}
