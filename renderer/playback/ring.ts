// The memory that the window and the audio thread share: a ring of the four playback
// channels, addressed by the absolute frame of the stream, beside the few words in which
// the two sides tell each other where they are. The window writes, the audio thread reads.

import { PLAYBACK_CHANNELS } from '../../app/contract/wire/sound-routes.ts'

export const RING_CHANNELS = PLAYBACK_CHANNELS.length

/** The ring holds at least this much, rounded up to a power of two of frames. */
const RING_SECONDS = 0.5
/** Old and new sound are blended this long where unheard frames are replaced. Common practice. */
const OVERWRITE_FADE_SECONDS = 0.02
/** Frames this close to the reader are left alone: the audio thread may be in the middle of them. */
const READER_GUARD_SECONDS = 0.01

/** Places of the shared words. Positions are stream frames modulo 2^32, so that they never run out. */
export const WORD = {
  /** Next frame to be read; the audio thread's. */
  read: 0,
  /** Frame after the last one written; the window's. */
  written: 1,
  /** 1 while it should sound; the window's. */
  running: 2,
  /** 1 once the last written frame is the end of the material; the window's. */
  ended: 3,
  /** 1 until the fade-out after running is complete; the audio thread's. */
  sounding: 4,
  /** How often the ring ran dry; the audio thread's. */
  underruns: 5,
  /** 1 while a copy of what is read is asked for; the window's. */
  capture: 6,
} as const

/** Places of the shared gains, all linear; the window's. */
export const GAIN = {
  level: 0,
  /** 0 dry, 1 processed. */
  mix: 1,
  matchDry: 2,
  matchProcessed: 3,
} as const

const WORDS = 8
const GAINS = 4
const HEAD_BYTES = (WORDS + GAINS) * 4

export interface Ring {
  readonly shared: SharedArrayBuffer
  readonly words: Int32Array
  readonly gains: Float32Array
  readonly planes: readonly Float32Array[]
  /** A power of two. */
  readonly frames: number
}

export function createRing(sampleRateHz: number): Ring {
  const frames = 2 ** Math.ceil(Math.log2(RING_SECONDS * sampleRateHz))
  return openRing(new SharedArrayBuffer(HEAD_BYTES + RING_CHANNELS * frames * 4))
}

/** The same ring seen from the other thread. */
export function openRing(shared: SharedArrayBuffer): Ring {
  const frames = (shared.byteLength - HEAD_BYTES) / (RING_CHANNELS * 4)
  return {
    shared,
    words: new Int32Array(shared, 0, WORDS),
    gains: new Float32Array(shared, WORDS * 4, GAINS),
    planes: Array.from(
      { length: RING_CHANNELS },
      (_, channel) => new Float32Array(shared, HEAD_BYTES + channel * frames * 4, frames),
    ),
    frames,
  }
}

/** Frames written and not yet read. */
export function framesAhead(ring: Ring): number {
  return (Atomics.load(ring.words, WORD.written) - Atomics.load(ring.words, WORD.read)) | 0
}

export interface RingWriter {
  /** Absolute stream frame that is read next. */
  readonly readFrame: number
  /** Absolute stream frame after the last one written. */
  readonly writtenFrame: number
  /** Length of the blend between old and new, in frames. */
  readonly fadeFrames: number
  /**
   * Writes a block at a stream frame. Where it replaces unheard frames, it fades in over
   * them, and back to them at its end if older sound reaches further, so that whatever
   * comes or does not come next, the stream is without a jump. What would fall on frames
   * already read, or about to be, is left out.
   * @param block planar, RING_CHANNELS times `frames` long
   * @param isFresh the sound before the block is of the same kind, and the block takes up where
   *   that began to blend back: it then needs no blend of its own
   * @throws RangeError where it would leave a gap or reach round into unread frames
   */
  write(atFrame: number, block: Float32Array, frames: number, isFresh?: boolean): void
  /** Forgets what is written and not yet read. Only while nothing sounds. */
  restart(): void
}

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

      // Appending needs no guard: what is past the written frame cannot be under the reader.
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
          // Raised cosine with equal gain: old and new are the same voice, hence alike.
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
        // The store comes last: a reader that sees the position also sees the samples.
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
