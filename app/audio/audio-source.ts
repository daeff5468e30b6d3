// The interface of an open recording: its format, and any span of its frames on request.

import type { Channels } from '../dsp/stage.ts'

/** The format of a sound file, from its header. */
export interface AudioFormat {
  readonly container: 'wav' | 'rf64' | 'bw64' | 'aiff' | 'aifc' | 'flac'
  readonly encoding: 'pcm-8' | 'pcm-16' | 'pcm-24' | 'pcm-32' | 'float-32' | 'float-64'
  readonly sampleRateHz: number
  readonly channels: number
  readonly frames: number
  /**
   * What the header promises: more than `frames` where the recording is cut short, null where the header does
   * not give a length, as a recorder leaves it that never closed the file.
   */
  readonly promisedFrames: number | null
  /** Position of the first sample in samples since midnight, from bext; null without one. */
  readonly timeReferenceSamples: number | null
  /** A position in bext of 24 h or more, which is no time of day and is not followed; null without one. */
  readonly lateStampSamples: number | null
  /** Bytes after the sound that no header or chunk accounts for, perhaps audio; 0 if less than a frame. */
  readonly unreadBytes: number
}

/** An open file from which any span of frames can be read; synchronous, for use in worker threads. */
export interface AudioSource {
  readonly format: AudioFormat
  /**
   * Fills `into` (one array per channel, full scale = 1) from index `at` with `frames`
   * frames from `startFrame`; frames outside the file are zero.
   * @throws Failure when the file has been cut short or cannot be read
   */
  read(startFrame: number, frames: number, into: Channels, at?: number): void
  close(): void
}
