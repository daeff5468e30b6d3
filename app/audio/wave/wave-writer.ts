// Writes a Broadcast Wave file block by block; sizes and loudness are filled in at the end, and
// it becomes RF64 if it has grown past 4 GiB.

import { Failure } from '../../contract/failure.ts'
import type { Channels } from '../../dsp/stage.ts'
import { type CreateNewFile, createNewFile } from '../../files/new-file.ts'
import { createSampleEncoder, type WaveEncoding } from '../sample-encoding.ts'
import { type BroadcastInfo, type BroadcastLoudness, encodeBroadcast } from './broadcast.ts'
import { encodeWaveHeader, sampleBytesOf } from './wave-header.ts'

/** The format and metadata of a WAVE file to be written. */
export interface WaveWriterOptions {
  readonly sampleRateHz: number
  readonly channels: number
  readonly encoding: WaveEncoding
  /** Contents of the bext chunk; without it a plain WAVE file is written. */
  readonly broadcast?: BroadcastInfo
  /** Whole chunks that follow the sound, such as markers; an even number of bytes. */
  readonly trailing?: Uint8Array
  /** Seed of the TPDF dither; null rounds without dither, for material already quantised to the words. */
  readonly ditherSeed: number | null
}

/** Writes one WAVE file. */
export interface WaveWriter {
  readonly framesWritten: number
  /** Samples beyond full scale that were clipped to the nearest word; always 0 for floats. */
  readonly clippedSamples: number
  /**
   * Adds `frames` frames from the start of `channels`.
   * @throws Failure 'disk-full', 'not-writable' or 'not-finite'; the unfinished file is removed
   */
  write(channels: Channels, frames: number): void
  /**
   * Fills in sizes and loudness, flushes to the disk, gives the file its name.
   * @throws Failure, 'conflict' if the name exists; the unfinished file is removed
   */
  finish(loudness?: BroadcastLoudness): void
  /** Removes what was written; harmless after finish. */
  abort(): void
}

const BUFFER_BYTES = 256 * 1024
const NOTHING = new Uint8Array(0)

/**
 * Starts the file that will appear under `path`.
 * @param create creates the file
 * @throws Failure as `create`
 */
export function createWaveWriter(
  path: string,
  options: WaveWriterOptions,
  create: CreateNewFile = createNewFile,
): WaveWriter {
  const { sampleRateHz, channels, encoding, broadcast, trailing = NOTHING } = options
  const frameBytes = sampleBytesOf(encoding) * channels
  const bufferFrames = Math.max(1, Math.floor(BUFFER_BYTES / frameBytes))
  // Views as numbers require a multiple of their size, 8 bytes at most.
  const memory = new ArrayBuffer(Math.ceil((bufferFrames * frameBytes) / 8) * 8)
  const bytes = new Uint8Array(memory)
  const encoder = createSampleEncoder(encoding, memory, channels, options.ditherSeed)
  let bufferedFrames = 0
  let framesWritten = 0

  function header(dataBytes: number, loudness?: BroadcastLoudness): Buffer {
    const bext = broadcast ? encodeBroadcast(broadcast, loudness) : null
    return encodeWaveHeader({
      ...{ encoding, sampleRateHz, channels, dataBytes },
      broadcast: bext,
      trailingBytes: trailing.length,
    })
  }

  const file = create(path)
  const emptyHeader = header(0)
  file.write(emptyHeader, 0)
  let position = emptyHeader.length

  function flush(): void {
    if (bufferedFrames === 0) return
    const length = bufferedFrames * frameBytes
    file.write(bytes.subarray(0, length), position)
    position += length
    bufferedFrames = 0
  }

  function refuseNotFinite(frame: number): never {
    file.discard()
    const seconds = frame / sampleRateHz
    throw new Failure(
      'not-finite',
      `${path} was not written: the sound has a sample that is not a number, or is beyond the range of 32-bit float, at ${seconds.toFixed(3)} s. Check the takes and gains there.`,
      { path, frame },
    )
  }

  return {
    get framesWritten() {
      return framesWritten
    },
    get clippedSamples() {
      return encoder.clippedSamples
    },
    write(block, frames) {
      if (block.length !== channels)
        throw new RangeError(`${channels} channels are written at once, not ${block.length}`)
      let from = 0
      while (from < frames) {
        const count = Math.min(frames - from, bufferFrames - bufferedFrames)
        const bad = encoder.encode(block, from, count, bufferedFrames)
        if (bad >= 0) refuseNotFinite(framesWritten + bad - from)
        bufferedFrames += count
        framesWritten += count
        from += count
        if (bufferedFrames === bufferFrames) flush()
      }
    },
    finish(loudness) {
      flush()
      const dataBytes = framesWritten * frameBytes
      if (dataBytes % 2 === 1) file.write(Uint8Array.of(0), position)
      file.write(trailing, position + (dataBytes % 2))
      file.write(header(dataBytes, loudness), 0)
      file.commit()
    },
    abort() {
      file.discard()
    },
  }
}
