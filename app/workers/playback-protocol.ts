// The calls that the services make to the playback thread.

import { Failure } from '../contract/failure.ts'
import type { Listening, MatchResult } from '../engine/mixes/playback-engine.ts'
import type { TakePaths } from './jobs.ts'

/** What is heard, and where the bytes of its takes can be read. */
export interface PlaybackSettings {
  readonly playbackId: string
  readonly listening: Listening
  readonly takePaths: TakePaths
}

/** Input and output of every call. */
export interface PlaybackActs {
  /** Opens a playback under an id that no other has. */
  readonly open: { input: PlaybackSettings; output: null }
  /** Gives an open playback other settings. */
  readonly tune: { input: PlaybackSettings; output: null }
  /** Planar samples in the order of PLAYBACK_CHANNELS, `frames` of each. */
  readonly span: {
    input: { playbackId: string; fromFrame: number; frames: number }
    output: Float32Array<ArrayBuffer>
  }
  /** Answered when the scout has passed `toFrame` or heard `secondsAtMost` of active sound; can be cancelled. */
  readonly match: {
    input: { playbackId: string; fromFrame: number; toFrame: number; secondsAtMost: number }
    output: MatchResult
  }
  /** Does nothing where the playback is closed already. */
  readonly close: { input: { playbackId: string }; output: null }
}

/** Names of the calls. */
export type PlaybackAct = keyof PlaybackActs

/** Failure of calls for a playback that is closed or was never open. */
export const closedPlaybackFailure = (): Failure =>
  new Failure('not-found', 'This playback has been closed; start it again.')
