// Memory shared by the window and the audio thread: a ring buffer of the four playback
// channels, addressed by the absolute frame of the stream, and control words for the read and
// write positions. The window writes samples, the audio thread reads them.

import { PLAYBACK_CHANNELS } from '../../app/contract/wire/sound-routes.ts'
import { METERS } from './live-meter.ts'

/** Dry left and right, processed left and right. */
export const RING_CHANNELS = PLAYBACK_CHANNELS.length

/**
 * Least length of the ring, which is rounded up to a power of two of frames: what the feeder keeps ahead, and
 * its longest block.
 */
const RING_SECONDS = 4
/** Crossfade from old to new audio where unread frames are replaced. Common practice. */
const OVERWRITE_FADE_SECONDS = 0.02
/** Frames this close to the reader are not replaced, because the audio thread may be reading them. */
const READER_GUARD_SECONDS = 0.01

/** Indices of the control words. Positions are stream frames modulo 2^32. */
export const WORD = {
  /** Next frame to be read; set by the audio thread. */
  read: 0,
  /** Frame after the last one written; set by the window. */
  written: 1,
  /** 1 while playback should run; set by the window. */
  running: 2,
  /** 1 once the last written frame is the end of the material; set by the window. */
  ended: 3,
  /** 1 from the start of playback until its fade-out is complete; set by the audio thread. */
  sounding: 4,
  /** Count of underruns; set by the audio thread. */
  underruns: 5,
  /** 1 while copies of the frames read are requested; set by the window. */
  capture: 6,
} as const

/** Indices of the shared gains, all linear; set by the window. */
export const GAIN = {
  level: 0,
  /** 0 dry, 1 processed. */
  mix: 1,
  matchDry: 2,
  matchProcessed: 3,
  /** 0 stereo, 1 both sides as their mean. */
  mono: 4,
  /** 1 for what processing changes: matched processed less matched dry, in place of either. */
  change: 5,
  /** On top of the match, for the change alone. */
  changeLift: 6,
} as const

const WORDS = 8
const GAINS = 7
const HEAD_BYTES = (WORDS + GAINS + METERS) * 4

/** Views of the shared memory. */
export interface Ring {
  readonly shared: SharedArrayBuffer
  readonly words: Int32Array
  readonly gains: Float32Array
  /** Readings of the meter by METER; set by the audio thread. */
  readonly meters: Float32Array
  /** One for each of RING_CHANNELS, `frames` long. */
  readonly planes: readonly Float32Array[]
  /** A power of two. */
  readonly frames: number
}

/** A new, empty ring. */
export function createRing(sampleRateHz: number): Ring {
  const frames = 2 ** Math.ceil(Math.log2(RING_SECONDS * sampleRateHz))
  return openRing(new SharedArrayBuffer(HEAD_BYTES + RING_CHANNELS * frames * 4))
}

/** Views of a ring that another thread created. */
export function openRing(shared: SharedArrayBuffer): Ring {
  const frames = (shared.byteLength - HEAD_BYTES) / (RING_CHANNELS * 4)
  return {
    shared,
    words: new Int32Array(shared, 0, WORDS),
    gains: new Float32Array(shared, WORDS * 4, GAINS),
    meters: new Float32Array(shared, (WORDS + GAINS) * 4, METERS),
    planes: Array.from(
      { length: RING_CHANNELS },
      (_, channel) => new Float32Array(shared, HEAD_BYTES + channel * frames * 4, frames),
    ),
    frames,
  }
}

/** Frames that are written and not yet read. */
export function framesAhead(ring: Ring): number {
  return (Atomics.load(ring.words, WORD.written) - Atomics.load(ring.words, WORD.read)) | 0
}

/** Writes samples into a ring. */
export interface RingWriter {
  /** Absolute stream frame to be read next. */
  readonly readFrame: number
  /** Absolute stream frame after the last one written. */
  readonly writtenFrame: number
  /** Length of the crossfade between old and new, in frames. */
  readonly fadeFrames: number
  /**
   * Writes a block at a stream frame. Where it replaces unread frames, it crossfades from them. If
   * older audio extends beyond the block, it also crossfades back to that at its end, so that the
   * stream has no discontinuity whatever is written next. Frames already read or about to be read
   * are skipped.
   * @param block planar, RING_CHANNELS times `frames` long
   * @param isFresh whether the block starts where the previous block began to fade back and
   *   repeats its frames from there; it then starts without a crossfade
   * @throws RangeError if it would leave a gap or wrap around onto unread frames
   */
  write(atFrame: number, block: Float32Array, frames: number, isFresh?: boolean): void
  /** Drops frames that are written and not yet read. Call it only while the output is silent. */
  restart(): void
}

/** The window's side of a ring; there is one writer for each ring. */
export function createRingWriter(ring: Ring, sampleRateHz: number): RingWriter {
  const { words, planes } = ring
  const mask = ring.frames - 1
  const fadeFrames = Math.round(OVERWRITE_FADE_SECONDS * sampleRateHz)
  const guardFrames = Math.round(READER_GUARD_SECONDS * sampleRateHz)
  let writtenFrame = Atomics.load(words, WORD.written)
  const readFrame = (): number => writtenFrame - framesAhead(ring)

  return {
    fadeFrames,
    get readFrame() {
      return readFrame()
    },
    get writtenFrame() {
      return writtenFrame
    },

    write(atFrame, block, frames, isFresh = false) {
      const end = atFrame + frames
      const read = readFrame()
      if (atFrame > writtenFrame) throw new RangeError('a block may not leave a gap before it')
      if (end - read > ring.frames) throw new RangeError('a block may not reach round to unread frames')

      // Appending needs no guard: the reader cannot be past the written frame.
      const start = Math.max(atFrame, Math.min(read + guardFrames, writtenFrame))
      if (start >= end) return
      const needsBlend = !(isFresh && start === atFrame)
      const fadeInEnd = needsBlend ? Math.min(start + fadeFrames, writtenFrame) : start
      const fadeOutStart = end < writtenFrame ? end - fadeFrames : end
      for (let channel = 0; channel < RING_CHANNELS; channel++) {
        const plane = planes[channel]
        const offset = channel * frames - atFrame
        for (let frame = start; frame < end; frame++) {
          const place = frame & mask
          let weight = 1
          // Raised cosine with equal gain, because old and new audio are correlated.
          if (frame < fadeInEnd) {
            weight = 0.5 - 0.5 * Math.cos((Math.PI * (frame - start + 1)) / (fadeInEnd - start + 1))
          }
          if (frame >= fadeOutStart) {
            weight *= 0.5 + 0.5 * Math.cos((Math.PI * (frame - fadeOutStart + 1)) / (end - fadeOutStart + 1))
          }
          const fresh = block[offset + frame]
          plane[place] = weight === 1 ? fresh : plane[place] + weight * (fresh - plane[place])
        }
      }
      if (end > writtenFrame) {
        writtenFrame = end
        // Stored last, so that a reader that sees the position also sees the samples.
        Atomics.store(words, WORD.written, writtenFrame | 0)
      }
    },

    restart() {
      writtenFrame = readFrame()
      Atomics.store(words, WORD.written, writtenFrame | 0)
      Atomics.store(words, WORD.ended, 0)
    },
  }
}
