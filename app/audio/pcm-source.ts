// An AudioSource over uncompressed audio in a file. One reused buffer caches a window of the file
// and reads ahead while access is sequential.

import { Failure } from '../contract/failure.ts'
import type { Channels } from '../dsp/stage.ts'
import type { AudioSource } from './audio-source.ts'
import type { InputFile } from './input-file.ts'
import type { PcmLayout } from './pcm-layout.ts'
import { createDecoder, swapBytes } from './sample-decoding.ts'

/** Bytes per read while access is sequential. */
const AHEAD_BYTES = 256 * 1024
/** Minimum bytes per read after a seek; small, so that seeking in the player is fast. */
const JUMP_BYTES = 64 * 1024

/** A source over an open file; closing it closes the file. */
export function createPcmSource(file: InputFile, layout: PcmLayout): AudioSource {
  const { format, frameBytes, dataStartByte } = layout
  const sampleBytes = frameBytes / format.channels
  const windowFrames = Math.ceil(AHEAD_BYTES / frameBytes)
  const jumpFrames = Math.ceil(JUMP_BYTES / frameBytes)
  // A multiple of 8 bytes, as Float64Array requires.
  const memory = new ArrayBuffer(Math.ceil((windowFrames * frameBytes) / 8) * 8)
  const bytes = Buffer.from(memory)
  const decode = createDecoder(format.encoding, memory, layout.unsigned8)
  let windowStart = 0
  let windowEnd = 0

  function fill(fromFrame: number, wantedFrames: number): void {
    const isForward = fromFrame === windowEnd
    const most = isForward ? windowFrames : Math.min(windowFrames, Math.max(jumpFrames, wantedFrames))
    const frames = Math.min(most, format.frames - fromFrame)
    const length = frames * frameBytes
    windowStart = 0
    windowEnd = 0
    if (file.readInto(bytes, length, dataStartByte + fromFrame * frameBytes) < length) {
      throw new Failure(
        'changed',
        `${file.path} has become shorter since it was opened; restore the original file and try again.`,
        { path: file.path },
      )
    }
    if (layout.byteOrder === 'big') swapBytes(bytes.subarray(0, length), sampleBytes)
    windowStart = fromFrame
    windowEnd = fromFrame + frames
  }

  return {
    format,
    read(startFrame, frames, into: Channels, at = 0) {
      if (into.length !== format.channels) {
        throw new RangeError(`expected ${format.channels} channels to read into, got ${into.length}`)
      }
      const first = Math.max(0, startFrame)
      const end = Math.min(format.frames, startFrame + frames)
      if (first > startFrame || end < startFrame + frames) {
        for (const channel of into) channel.fill(0, at, at + frames)
      }
      let frame = first
      while (frame < end) {
        if (frame < windowStart || frame >= windowEnd) fill(frame, end - frame)
        const count = Math.min(end, windowEnd) - frame
        const base = (frame - windowStart) * format.channels
        for (let channel = 0; channel < format.channels; channel++) {
          decode(base + channel, format.channels, into[channel], at + frame - startFrame, count)
        }
        frame += count
      }
    },
    close() {
      file.close()
    },
  }
}
