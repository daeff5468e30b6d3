// What the services say to the playback thread, and what it answers.

import { Failure, type FailureData } from '../contract/failure.ts'
import type { Listening, MatchResult } from '../engine/mixes/playback-engine.ts'
import type { TakePaths } from './jobs.ts'

/** What is heard, and where the bytes of its takes can be read. */
export interface PlaybackSettings {
  readonly playbackId: string
  readonly listening: Listening
  readonly takePaths: TakePaths
}

export interface PlaybackActs {
  /** Opens a playback under an id that no other has. */
  readonly open: { input: PlaybackSettings; output: null }
  /** Gives an open playback other settings. */
  readonly tune: { input: PlaybackSettings; output: null }
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

/** What asks for a playback that is closed, or never was open, fails with this. */
export const closedPlaybackFailure = (): Failure =>
  new Failure('not-found', 'This playback has been closed; start it again.')

export type PlaybackAct = keyof PlaybackActs

export type PlaybackQuestion = {
  [A in PlaybackAct]: { readonly id: number; readonly act: A; readonly input: PlaybackActs[A]['input'] }
}[PlaybackAct]

export type PlaybackAnswer =
  | { readonly id: number; readonly ok: true; readonly output: PlaybackActs[PlaybackAct]['output'] }
  | { readonly id: number; readonly ok: false; readonly failure: FailureData }
