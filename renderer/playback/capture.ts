// Captures playback for comparison with a bounce: the samples that the audio thread reads from
// the ring (before any gain) and the samples that it outputs. Available only on a page opened with
// ?capture; the worklet copies samples only while a span is being recorded.

import type { AudioOutput } from './audio-output.ts'
import { RING_CHANNELS, WORD } from './ring.ts'

export interface CapturedSpan {
  /** Session frame of the first captured frame. */
  readonly fromFrame: number
  /** Stream position of that frame, as returned by `position`. */
  readonly fromPosition: number
  /** PLAYBACK_CHANNELS, as read from the ring. */
  readonly read: readonly Float32Array[]
  /** Left and right, after match, level, fades and ceiling. */
  readonly heard: readonly Float32Array[]
}

interface Capture {
  /** Records `frames` frames, starting with the next one played. */
  record(frames: number): Promise<CapturedSpan>
  /** Stream frame that the audio thread will read next, modulo 2^32. */
  position(): number
}

declare global {
  interface Window {
    takeloftCapture?: Capture
  }
}

interface Copy {
  readonly from: number
  readonly frames: number
  readonly read: readonly Float32Array[]
  readonly heard: readonly Float32Array[]
}

/** Whether the page was opened with ?capture. */
export const isCaptureAsked = (): boolean => new URLSearchParams(window.location.search).has('capture')

/**
 * Exposes the capture as `window.takeloftCapture`.
 * @param output returns the current audio output, or null before the first playback
 * @param sessionFrameOf session frame of a ring position
 */
export function offerCapture(
  output: () => AudioOutput | null,
  sessionFrameOf: (ringFrame: number) => number,
): void {
  window.takeloftCapture = {
    async record(frames) {
      const from = output()
      if (from === null) throw new Error('nothing has been played yet')
      const read = Array.from({ length: RING_CHANNELS }, () => new Float32Array(frames))
      const heard = [new Float32Array(frames), new Float32Array(frames)]
      let fromFrame = 0
      let fromPosition = 0
      let filled = 0
      await new Promise<void>((resolve) => {
        from.port.onmessage = ({ data }: MessageEvent<Copy>) => {
          if (filled >= frames) return
          // The previous playback may still be fading out.
          if (filled === 0 && Atomics.load(from.ring.words, WORD.running) === 0) return
          if (filled === 0) {
            fromFrame = sessionFrameOf(data.from)
            fromPosition = data.from
          }
          const count = Math.min(data.frames, frames - filled)
          for (const [channel, samples] of data.read.entries()) {
            read[channel].set(samples.subarray(0, count), filled)
          }
          for (const [channel, samples] of data.heard.entries()) {
            heard[channel].set(samples.subarray(0, count), filled)
          }
          filled += count
          if (filled === frames) resolve()
        }
        Atomics.store(from.ring.words, WORD.capture, 1)
      })
      Atomics.store(from.ring.words, WORD.capture, 0)
      from.port.onmessage = null
      return { fromFrame, fromPosition, read, heard }
    },
    position() {
      const from = output()
      return from === null ? 0 : Atomics.load(from.ring.words, WORD.read)
    },
  }
}
