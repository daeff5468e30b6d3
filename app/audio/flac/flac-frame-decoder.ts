// Decodes single FLAC frames with the library, and works around three of its quirks.

import { FLACDecoder } from '@wasm-audio-decoders/flac'
import { type FrameHeader, selfContained } from './flac-frames.ts'
import type { FlacHeader } from './flac-header.ts'

/** The most bytes that the library decodes in one call (its _MAX_INPUT_SIZE). */
export const MAX_DECODED_BYTES = 65_535 * 8

/** Decodes single FLAC frames. */
export interface FlacFrameDecoder {
  /**
   * Returns one array per channel with the exact stored words divided by 2^(bits - 1), or null if `bytes` are
   * not exactly that frame. `bytes` may be at most MAX_DECODED_BYTES long.
   */
  decode(bytes: Uint8Array, frame: FrameHeader): Promise<Float64Array[] | null>
  close(): void
}

/** Close it when it is no longer needed; it holds WebAssembly memory. */
export function createFlacFrameDecoder(header: FlacHeader): FlacFrameDecoder {
  let decoder: FLACDecoder | null = null
  return {
    async decode(bytes, frame) {
      decoder ??= await startDecoder()
      const decoded = await decodeQuietly(decoder, selfContained(bytes, frame, header))
      if (decoded !== null && isWhole(decoded, header, frame)) {
        return decoded.channelData.map((scaled) => wordsOf(scaled, header.bits))
      }
      // After input without sound, the library would free memory twice and fail later. So this instance is
      // dropped without free(), and the garbage collector reclaims all of its memory.
      decoder = null
      return null
    },
    close() {
      decoder?.free()
      decoder = null
    },
  }
}

async function startDecoder(): Promise<FLACDecoder> {
  const decoder = new FLACDecoder()
  await decoder.ready
  return decoder
}

type Decoded = Awaited<ReturnType<FLACDecoder['decodeFrames']>>

/** null if the library itself fails, which no frame should cause. */
async function decodeQuietly(decoder: FLACDecoder, bytes: Uint8Array): Promise<Decoded | null> {
  // The library also prints the errors it returns, during the synchronous part of the call.
  const print = console.error
  console.error = () => {}
  let decoding: Promise<Decoded>
  try {
    decoding = decoder.decodeFrames([bytes])
  } finally {
    console.error = print
  }
  return decoding.catch(() => null)
}

const isWhole = (
  { channelData, samplesDecoded, errors, bitDepth }: Decoded,
  header: FlacHeader,
  frame: FrameHeader,
): boolean =>
  errors.length === 0 &&
  channelData.length === header.channels &&
  bitDepth === header.bits &&
  samplesDecoded === frame.blockFrames

/**
 * The library divides by the greatest word, not by full scale. The error of its 32-bit floats is less than
 * half a word, so rounding recovers the exact word.
 */
function wordsOf(scaled: Float32Array, bits: number): Float64Array {
  const fullScale = 2 ** (bits - 1)
  const greatestWord = fullScale - 1
  const samples = new Float64Array(scaled.length)
  for (let i = 0; i < samples.length; i++) samples[i] = Math.round(scaled[i] * greatestWord) / fullScale
  return samples
}
