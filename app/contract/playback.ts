// Schemas of playback. A playback delivers two signals side by side, dry and processed,
// so that switching between them can crossfade without a jump.

import { z } from 'zod'
import { ChainStages } from './chain-document.ts'
import { Id, LayerFields } from './entities.ts'
import { SampleRate } from './text/bounded.ts'
import { MAX_LAYERS } from './text/limits.ts'

/** What to play: a take through the given stages, everything else through the chains of its session. */
export const PlaybackTarget = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('take'), takeId: Id, sampleRateHz: SampleRate }),
  z.object({ kind: z.literal('layer'), layerId: Id }),
  z.object({ kind: z.literal('group'), groupId: Id }),
  z.object({ kind: z.literal('stack'), sessionId: Id }),
])
export type PlaybackTarget = z.infer<typeof PlaybackTarget>

/** What of a layer is heard otherwise; the rest stays as it is saved. */
const TriedLayer = z.object({
  layerId: Id,
  changes: LayerFields.pick({
    gainDb: true,
    offsetSamples: true,
    muted: true,
    polarityInverted: true,
  }).partial(),
})

/** The most that a draft is lowered by for listening; no chain makes a voice louder by more. */
export const MAX_LOWER_DB = 120

/** The target of a playback and the stages it plays through. */
export const PlaybackSource = z.object({
  target: PlaybackTarget,
  /** Unsaved stages: for a take, or instead of the chain of one group or the shared chain (groupId null). */
  draft: z.object({ groupId: Id.nullable(), stages: ChainStages }).nullable(),
  /**
   * Only for a take with a draft, to compare one stage with its input: the dry side is the take through the
   * stages before `fromStage`, and the processed side is the take through the stages before `toStage`.
   */
  compare: z
    .object({ fromStage: z.int().min(0), toStage: z.int().min(0) })
    .nullable()
    .default(null),
  /**
   * Only for a take with a draft, or a stack with `tried`: lowers the processed side behind its stages, so that drafts
   * can be heard equally loud.
   */
  lowerDb: z.number().min(0).max(MAX_LOWER_DB).default(0),
  /**
   * Only for a stack or a group: the layers that are heard, also those that are muted; null for all that are
   * not muted. For listening only; no bounce knows of it.
   */
  solo: z.array(Id).max(MAX_LAYERS).nullable().default(null),
  /**
   * Only for a stack: changes of layers that are heard before they are made, with the draft if there is one. The dry
   * side is then the stack as it is saved, processed as well, so that both can be heard equally loud.
   */
  tried: z.array(TriedLayer).max(MAX_LAYERS).nullable().default(null),
})
/** The source as a caller writes it, before parsing. */
export type PlaybackSource = z.input<typeof PlaybackSource>
/** The parsed source, as a handler receives it. */
export type ParsedPlaybackSource = z.output<typeof PlaybackSource>

/** An open playback; frames are at its own sample rate. */
export const OpenedPlayback = z.object({
  playbackId: z.string(),
  sampleRateHz: z.int().positive(),
  /** Position of the first frame on the session's timeline, in frames; may be negative. */
  startFrame: z.int(),
  frames: z.int().nonnegative(),
})
export type OpenedPlayback = z.infer<typeof OpenedPlayback>

/** Gains in dB that make the dry and processed sides equally loud. */
export const MatchGains = z.object({
  /** Processed minus dry in LU over the active blocks; null where nothing is active. */
  differenceLu: z.number().nullable(),
  dryDb: z.number(),
  processedDb: z.number(),
  /**
   * Gain for processed minus dry, both matched, towards their loudness; null where nothing is active or the two are
   * the same.
   */
  changeDb: z.number().nullable(),
  activeSeconds: z.number(),
})
export type MatchGains = z.infer<typeof MatchGains>
