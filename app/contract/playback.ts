// Playback as the window asks for it. A playback gives two programmes side by side,
// dry and processed, so that switching between them is a fade and never a jump.

import { z } from 'zod'
import { ChainStages } from './chain-document.ts'
import { Id } from './entities.ts'
import { SampleRate } from './text/bounded.ts'

/** What to play; a take plays through the given stages, everything else through the chains of its session. */
export const PlaybackTarget = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('take'), takeId: Id, sampleRateHz: SampleRate }),
  z.object({ kind: z.literal('layer'), layerId: Id }),
  z.object({ kind: z.literal('group'), groupId: Id }),
  z.object({ kind: z.literal('stack'), sessionId: Id }),
])
export type PlaybackTarget = z.infer<typeof PlaybackTarget>

/** What a playback plays, and through which stages. */
export const PlaybackSource = z.object({
  target: PlaybackTarget,
  /** Unsaved stages heard in place of the saved chain: of a take, of one group, or of all that share (groupId null). */
  draft: z.object({ groupId: Id.nullable(), stages: ChainStages }).nullable(),
  /**
   * Only for a take with a draft: the processed side ends behind stage `toStage` - 1, and the dry side is
   * the take through the stages before `fromStage`. So one stage is compared with its own input.
   */
  compare: z
    .object({ fromStage: z.int().min(0), toStage: z.int().min(0) })
    .nullable()
    .default(null),
})
/** As a caller writes it. */
export type PlaybackSource = z.input<typeof PlaybackSource>
/** As a handler gets it. */
export type ParsedPlaybackSource = z.output<typeof PlaybackSource>

/** A playback that was opened; frames at its own sample rate. */
export const OpenedPlayback = z.object({
  playbackId: z.string(),
  sampleRateHz: z.int().positive(),
  /** Session time of the first frame there is, in frames; may be before zero. */
  startFrame: z.int(),
  frames: z.int().nonnegative(),
})
export type OpenedPlayback = z.infer<typeof OpenedPlayback>

/** Gains in dB that make both sides equally loud. */
export const MatchGains = z.object({
  /** Processed minus dry in LU over the active blocks; null where nothing is active. */
  differenceLu: z.number().nullable(),
  dryDb: z.number(),
  processedDb: z.number(),
  activeSeconds: z.number(),
})
export type MatchGains = z.infer<typeof MatchGains>
