// What an opened recording is to the rest of the program: a format, and any span
// of its frames on request. Every reader in this folder gives this one shape.

import type { Channels } from '../dsp/stage.ts'

/** What a sound file says of its sound. */
export interface AudioFormat {
  readonly container: 'wav' | 'rf64' | 'bw64' | 'aiff' | 'aifc' | 'flac'
  readonly encoding: 'pcm-8' | 'pcm-16' | 'pcm-24' | 'pcm-32' | 'float-32' | 'float-64'
  readonly sampleRateHz: number
  readonly channels: number
  readonly frames: number
  /** Samples since midnight of the first sample, from bext; null without one. */
  readonly timeReferenceSamples: number | null
  /** Bytes behind the sound that neither the header nor a chunk accounts for, 0 for less than a frame; perhaps sound. */
  readonly unreadBytes: number
}

/** An open file that gives any span of frames; synchronous, for use in worker threads. */
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
