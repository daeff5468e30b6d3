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
  /** Opens a playback under a new id. */
  readonly open: { input: PlaybackSettings; output: null }
  /** Replaces the settings of an open playback. */
  readonly tune: { input: PlaybackSettings; output: null }
  /** Planar samples in the order of PLAYBACK_CHANNELS, `frames` of each. */
  readonly span: {
    input: { playbackId: string; fromFrame: number; frames: number }
    output: Float32Array<ArrayBuffer>
  }
  /**
   * Resolves when the scout has reached `toFrame` or measured `maxSeconds` of active sound, or when the
   * playback is closed; can be cancelled.
   */
  readonly match: {
    input: { playbackId: string; fromFrame: number; toFrame: number; maxSeconds: number }
    output: MatchResult
  }
  /** Does nothing if the playback is closed already. */
  readonly close: { input: { playbackId: string }; output: null }
}

/** Names of the calls. */
export type PlaybackAct = keyof PlaybackActs

/** Failure of calls for a playback that is closed or was never open. */
export const closedPlaybackFailure = (): Failure =>
  new Failure('not-found', 'This playback has been closed; start it again.')
