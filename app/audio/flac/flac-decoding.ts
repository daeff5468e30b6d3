// Decodes FLAC frame by frame: our code finds where a frame ends (flac-frames.ts), the library
// decodes it. The library can find frames itself, but on damage it resynchronises
// at every likely byte, which takes minutes, and a recording with a gap is of no use.

import { Failure } from '../../contract/failure.ts'
import type { Channels } from '../../dsp/stage.ts'
import { createFileWindow } from '../file-window.ts'
import type { InputFile } from '../input-file.ts'
import { refuseTooLong } from '../pcm-layout.ts'
import { createFlacFrameDecoder, MAX_DECODED_BYTES } from './flac-frame-decoder.ts'
import {
  frameHeaderAt,
  frameLengthsAt,
  HEADER_MOST_BYTES,
  hasLaterFrame,
  mostFrameBytes,
} from './flac-frames.ts'
import type { FlacHeader } from './flac-header.ts'

/** A run of decoded frames. */
export interface FlacSpan {
  /** Exactly the stored words divided by 2^(bits - 1). */
  readonly channels: Channels
  readonly frames: number
  /** Fraction of the file read so far, 0 to 1. */
  readonly done: number
  /** Number of the frame or of its first sample. */
  readonly number: number
  /** Where the next frame begins, in bytes of the file. */
  readonly endByte: number
}

/**
 * Decodes all frames in order, up to the first bytes that are not a frame (a tag, padding) or the first
 * damaged frame: the caller must compare the number of frames with the one in the header. If the header
 * does not give a number, frames behind the damaged one throw.
 * @throws Failure 'damaged', 'not-supported' (a frame or the whole too long) or 'not-readable'
 */
export async function* decodeFlac(file: InputFile, header: FlacHeader): AsyncGenerator<FlacSpan> {
  const decoder = createFlacFrameDecoder(header)
  const window = createFileWindow(file, mostFrameBytes(header))
  let at = header.streamStartByte
  let frames = 0
  let number = -1
  try {
    for (let isLast = false; !isLast && frames <= (header.frames ?? Infinity); ) {
      const { bytes, start, end, isEndOfFile } = window.from(at)
      const frame = frameHeaderAt(bytes, start, end, header)
      if (frame === null) break
      const lengths = frameLengthsAt(bytes, start, end, frame, header, isEndOfFile)
      let channels: Channels | null = null
      for (const length of lengths.bytes) {
        if (length > MAX_DECODED_BYTES) throw frameTooLarge(file.path, length)
        channels = await decoder.decode(bytes.slice(start, start + length), frame)
        if (channels === null) continue
        at += length
        break
      }
      if (channels === null) break
      isLast = !lengths.isSure
      frames += frame.blockFrames
      number = frame.number
      refuseTooLong(file.path, frames, header.sampleRateHz)
      yield { channels, frames: frame.blockFrames, done: at / file.sizeBytes, number, endByte: at }
    }
  } finally {
    decoder.close()
  }
  if (header.frames === null) refuseLaterFrames(file, header, at, number)
}

/**
 * If frames follow the bytes that ended a stream of unknown length, those bytes are damage, not the end. A frame
 * may have begun there, as a recorder leaves it that stopped without closing the file.
 */
function refuseLaterFrames(file: InputFile, header: FlacHeader, fromByte: number, number: number): void {
  const SPAN_BYTES = 1 << 20
  const window = createFileWindow(file, SPAN_BYTES + HEADER_MOST_BYTES)
  const first = window.from(fromByte)
  const begun = frameHeaderAt(first.bytes, first.start, first.end, header)
  const last = Math.max(number, begun?.number ?? number)
  for (let at = fromByte; at < file.sizeBytes; at += SPAN_BYTES) {
    const { bytes, start, end } = window.from(at)
    if (hasLaterFrame(bytes, start, end, last, header)) throw damaged(file.path)
  }
}

/**
 * Whether the file ends within the frame after `last`, or right before it, as a copy leaves it that was broken
 * off. Otherwise that frame is damaged: more follows than a frame can have, or a later frame.
 */
export function isCutShort(file: InputFile, header: FlacHeader, last: FlacSpan): boolean {
  const restBytes = file.sizeBytes - last.endByte
  if (restBytes > mostFrameBytes(header)) return false
  const rest = file.bytes(last.endByte, restBytes)
  const begun = frameHeaderAt(rest, 0, rest.length, header)
  return !hasLaterFrame(rest, begun?.bytes ?? 0, rest.length, begun?.number ?? last.number, header)
}

const damaged = (path: string): Failure =>
  new Failure('damaged', `${path} is a damaged FLAC file; copy it again from its source.`, { path })

const frameTooLarge = (path: string, bytes: number): Failure =>
  new Failure(
    'not-supported',
    `${path} is a FLAC file with frames of ${bytes} bytes, and at most ${MAX_DECODED_BYTES} can be read; encode it again with a block size of 4096.`,
    { path, bytes },
  )
