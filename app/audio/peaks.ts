// The waveform outline of a take for drawing: the least and the greatest sample of every few hundred
// frames, and its file format.

import { Failure } from '../contract/failure.ts'
import type { Channels } from '../dsp/stage.ts'

/** The outline of a take. */
export interface Peaks {
  readonly framesPerPeak: number
  /** Frames of the take; the last peak may cover fewer than framesPerPeak. */
  readonly frames: number
  /**
   * Per channel min, max, min, max, …: 32767 is full scale. Rounded outward so that the outline
   * never shows less than the peak, and clipped to full scale.
   */
  readonly channels: readonly Int16Array[]
}

/** Builds an outline block by block. */
export interface PeakCollector {
  /** Adds `frames` frames from the start of `channels`. */
  add(channels: Channels, frames: number): void
  finish(): Peaks
}

const FULL_SCALE = 32767

/** Collects peaks from blocks of any size. NaN samples are ignored. */
export function createPeakCollector(channels: number, framesPerPeak = 256): PeakCollector {
  const columns = Array.from({ length: channels }, () => createColumn(framesPerPeak))
  let totalFrames = 0
  return {
    add(block, frames) {
      for (let channel = 0; channel < channels; channel++) columns[channel].add(block[channel], frames)
      totalFrames += frames
    },
    finish() {
      return { framesPerPeak, frames: totalFrames, channels: columns.map((column) => column.finish()) }
    },
  }
}

function createColumn(framesPerPeak: number) {
  let words = new Int16Array(4096)
  let length = 0
  let least = Infinity
  let greatest = -Infinity
  let filled = 0

  function close(): void {
    if (length + 2 > words.length) {
      const larger = new Int16Array(2 * words.length)
      larger.set(words)
      words = larger
    }
    const isSilent = least > greatest
    words[length] = isSilent ? 0 : heldWord(Math.floor(least * FULL_SCALE))
    words[length + 1] = isSilent ? 0 : heldWord(Math.ceil(greatest * FULL_SCALE))
    length += 2
    least = Infinity
    greatest = -Infinity
    filled = 0
  }

  return {
    add(samples: Float64Array, frames: number): void {
      for (let from = 0; from < frames; ) {
        const end = Math.min(frames, from + framesPerPeak - filled)
        let low = least
        let high = greatest
        for (let i = from; i < end; i++) {
          const sample = samples[i]
          if (sample < low) low = sample
          if (sample > high) high = sample
        }
        least = low
        greatest = high
        filled += end - from
        from = end
        if (filled === framesPerPeak) close()
      }
    },
    finish(): Int16Array {
      if (filled > 0) close()
      return words.slice(0, length)
    },
  }
}

function heldWord(word: number): number {
  return Math.min(FULL_SCALE, Math.max(-FULL_SCALE, word))
}

const MAGIC = 'TLPK'
const VERSION = 1
const HEADER_BYTES = 20

/** Whether a file that begins with these bytes is an outline. */
export const isPeaksHead = (head: Uint8Array): boolean => Buffer.from(head).toString('latin1', 0, 4) === MAGIC

/**
 * Peaks as bytes, little-endian: 'TLPK', version u16, channels u16, frames per peak u32,
 * frames u64, then each channel's words (i16) one channel after another.
 */
export function encodePeaks(peaks: Peaks): Uint8Array {
  const words = peaks.channels.reduce((sum, channel) => sum + channel.length, 0)
  const bytes = Buffer.alloc(HEADER_BYTES + 2 * words)
  bytes.write(MAGIC, 0, 'latin1')
  bytes.writeUInt16LE(VERSION, 4)
  bytes.writeUInt16LE(peaks.channels.length, 6)
  bytes.writeUInt32LE(peaks.framesPerPeak, 8)
  bytes.writeBigUInt64LE(BigInt(peaks.frames), 12)
  let at = HEADER_BYTES
  for (const channel of peaks.channels) {
    bytes.set(new Uint8Array(channel.buffer, channel.byteOffset, channel.byteLength), at)
    at += channel.byteLength
  }
  return bytes
}

/** @throws Failure 'damaged' for anything but a peaks file, 'newer-version' for one from a later program */
export function decodePeaks(encoded: Uint8Array): Peaks {
  const bytes = Buffer.from(encoded.buffer, encoded.byteOffset, encoded.byteLength)
  if (bytes.length < HEADER_BYTES || bytes.toString('latin1', 0, 4) !== MAGIC) {
    throw new Failure(
      'damaged',
      'The stored outline of a take is damaged; import the take again to rebuild it.',
    )
  }
  const version = bytes.readUInt16LE(4)
  if (version > VERSION) {
    throw new Failure(
      'newer-version',
      `The stored outline of a take has version ${version} and this program knows ${VERSION}; update the program.`,
      { version },
    )
  }
  const channels = bytes.readUInt16LE(6)
  const framesPerPeak = bytes.readUInt32LE(8)
  const frames = Number(bytes.readBigUInt64LE(12))
  const words = 2 * Math.ceil(frames / framesPerPeak)
  if (framesPerPeak === 0 || bytes.length !== HEADER_BYTES + 2 * words * channels) {
    throw new Failure(
      'damaged',
      'The stored outline of a take is damaged; import the take again to rebuild it.',
    )
  }
  return {
    framesPerPeak,
    frames,
    channels: Array.from({ length: channels }, (_, channel) => {
      // Copied, because an Int16Array cannot view an odd byte offset.
      const from = HEADER_BYTES + 2 * words * channel
      return new Int16Array(Uint8Array.from(bytes.subarray(from, from + 2 * words)).buffer)
    }),
  }
}
