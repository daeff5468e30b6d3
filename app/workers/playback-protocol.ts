// What the services say to the playback thread, and what it answers.

import type { FailureData } from '../contract/failure.ts'
import type { Listening, MatchResult } from '../engine/playback-engine.ts'
import type { TakePaths } from './jobs.ts'

export interface PlaybackActs {
  /** Opens a playback, or gives an open one other settings. */
  readonly set: {
    input: { playbackId: string; listening: Listening; takePaths: TakePaths }
    output: null
  }
  readonly span: {
    input: { playbackId: string; fromFrame: number; frames: number }
    output: Float32Array<ArrayBuffer>
  }
  readonly match: {
    input: { playbackId: string; fromFrame: number; toFrame: number; secondsAtMost: number }
    output: MatchResult
  }
  readonly close: { input: { playbackId: string }; output: null }
}

export type PlaybackAct = keyof PlaybackActs

export type PlaybackQuestion = {
  [A in PlaybackAct]: { readonly id: number; readonly act: A; readonly input: PlaybackActs[A]['input'] }
}[PlaybackAct]

export type PlaybackAnswer =
  | { readonly id: number; readonly ok: true; readonly output: PlaybackActs[PlaybackAct]['output'] }
  | { readonly id: number; readonly ok: false; readonly failure: FailureData }
