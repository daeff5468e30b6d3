// FLAC to samples, span by span, through the decoder library; undoes the library's scale
// exactly, and makes up for two of its habits (see the comments at the constants).

import { FLACDecoder } from '@wasm-audio-decoders/flac'
import { Failure } from '../contract/failure.ts'
import type { Channels } from '../dsp/stage.ts'
import type { FlacHeader } from './flac-header.ts'
import type { InputFile } from './input-file.ts'

/** Asked between pieces of work whether to go on; an AbortSignal is one. */
export interface Cancellation {
  readonly aborted: boolean
}

export interface FlacSpan {
  /** Exactly the stored words over 2^(bits - 1). */
  readonly channels: Channels
  readonly frames: number
}

/**
 * Fed at once. Small, because near silence packs a thousandfold and all that one piece
 * unpacks to is handed over together.
 */
const PIECE_BYTES = 2048

/**
 * A valid header of a frame (the first of RFC 9639 appendix D.1) and zeros, fed at the end.
 * The library lets a frame go when it sees the next header; its own flush loses the last
 * frame when the file ends while it is looking into what might be one.
 */
const CLOSING_BYTES = Uint8Array.from([0xff, 0xf8, 0x69, 0x18, 0, 0, 0xbf, ...new Array<number>(57).fill(0)])

/**
 * All frames that decode, in order. Frames with a wrong checksum are left out by the
 * library, so whoever needs all of them must count.
 * @throws Failure 'damaged', 'cancelled', or 'not-readable'
 */
export async function* decodeFlac(
  file: InputFile,
  header: FlacHeader,
  signal?: Cancellation,
): AsyncGenerator<FlacSpan> {
  const decoder = new FLACDecoder()
  await decoder.ready
  try {
    const piece = new Uint8Array(PIECE_BYTES)
    for (let at = header.streamStartByte; ; at += PIECE_BYTES) {
      if (signal?.aborted)
        throw new Failure('cancelled', `Unpacking ${file.path} was cancelled.`, { path: file.path })
      const length = file.readInto(piece, PIECE_BYTES, at)
      const fed = length === 0 ? CLOSING_BYTES : piece.slice(0, length)
      const decoded = await decoder.decode(fed)
      if (decoded.samplesDecoded > 0) yield spanOf(file.path, header, decoded)
      if (length === 0) return
    }
  } finally {
    decoder.free()
  }
}

type Decoded = Awaited<ReturnType<FLACDecoder['decode']>>

function spanOf(path: string, header: FlacHeader, decoded: Decoded): FlacSpan {
  const { channelData, samplesDecoded, errors, bitDepth } = decoded
  if (errors.length > 0 || channelData.length !== header.channels || bitDepth !== header.bits) {
    throw new Failure('damaged', `${path} is a damaged FLAC file; copy it again from where it was made.`, {
      path,
      decoderMessage: errors.map((error) => error.message).join('; '),
    })
  }
  // The library divides by the greatest word, not by full scale; 32-bit floats err by less
  // than half a word in that, so the word itself comes back by rounding.
  const fullScale = 2 ** (header.bits - 1)
  const greatestWord = fullScale - 1
  const channels = channelData.map((scaled) => {
    const samples = new Float64Array(samplesDecoded)
    for (let i = 0; i < samplesDecoded; i++) samples[i] = Math.round(scaled[i] * greatestWord) / fullScale
    return samples
  })
  return { channels, frames: samplesDecoded }
}
