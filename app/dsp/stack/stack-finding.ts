// What the check of a stack finds, as kinds and numbers with ids of layers. Each has its place in time, what it was
// read from, and at most one bounded act that answers it, which is never one on the lead.

import type { Span } from '../maths/span.ts'

/** An act on one layer. */
export type StackSuggestion =
  /** A cut on the layer. @property predictedDb what the stack changes in the band of the finding */
  | {
      readonly act: 'bell'
      readonly layerId: number
      readonly frequencyHz: number
      readonly gainDb: number
      readonly q: number
      readonly predictedDb: number
    }
  | { readonly act: 'gain'; readonly layerId: number; readonly gainDb: number }
  | { readonly act: 'mute'; readonly layerId: number }
  | { readonly act: 'invert'; readonly layerId: number }
  /**
   * Later by so much; earlier below 0. One shift for each layer, the median of what its phrases ask for, weighted by
   * their length. @property spreadMs mean distance of the phrases from it
   */
  | {
      readonly act: 'shift'
      readonly layerId: number
      readonly shiftMs: number
      readonly spreadMs: number
    }
  /** The sibilants of these layers are lowered at the places of the finding, from the first to the last. */
  | {
      readonly act: 'hold'
      readonly layerIds: readonly number[]
      readonly fromS: number
      readonly toS: number
      readonly gainDb: number
    }

interface Figures {
  /** First the one to blame most. */
  readonly layerIds: readonly number[]
  /** Seconds of the session: from the first place to the end of the last. */
  readonly fromS: number
  readonly toS: number
  readonly value: number
  readonly unit: string
  /** The first hundred places in order. */
  readonly places: readonly Span[]
  readonly suggestion: StackSuggestion | null
}

/** What each kind was read from. */
type FindingDetail =
  /**
   * The stack is louder in a band than elsewhere beside the lead: harsh from 1 to 5 kHz. The value is by how many dB,
   * through what the first layer has there over its own median of all bands; without such a layer, over the median
   * build-up.
   */
  | {
      readonly kind: 'harsh-build-up' | 'build-up'
      readonly evidence: {
        readonly hz: number
        readonly buildUpDb: number
        /** Build-up of the band over its median of all bands. */
        readonly shapeDb: number
        /** Of the first layer: share, that over its own median, and its level beside the lead over its own median. */
        readonly share: number
        readonly shareOverMedian: number
        readonly excessDb: number
        /** What the stack has more in the band than without the first layer. */
        readonly leaveOneOutDb: number
      }
    }
  /** Two layers of one sound, a little apart. The value is the delay in ms; the first layer comes later. */
  | {
      readonly kind: 'combing'
      readonly evidence: {
        readonly delayMs: number
        readonly firstNotchHz: number
        readonly notchesHz: readonly number[]
        /** Peaks over notches, in stereo and in mono, at most 60 dB. */
        readonly depthDb: number
        readonly monoDepthDb: number
        readonly isInverted: boolean
      }
    }
  /** Two layers of one sound at one time. The value is by how many dB their sum is over the louder one. */
  | {
      readonly kind: 'same-sound'
      readonly evidence: { readonly isInverted: boolean; readonly levelDb: number }
    }
  /** The value is the loss in mono in the worst of the bands. */
  | {
      readonly kind: 'mono-loss'
      readonly evidence: {
        readonly hz: number
        readonly fromHz: number
        readonly toHz: number
        /** Share of the stack's energy in these bands. */
        readonly energyShare: number
      }
    }
  /** The value is the share of the lead's cells in time and frequency that is heard. */
  | {
      readonly kind: 'covered-lead'
      readonly evidence: {
        /** The share without the first layer. */
        readonly withoutFirst: number
      }
    }
  /**
   * Layers whose sibilants strike together with those of one layer, which are kept; at least one of them at each place.
   * The value is by how many dB they are over the one that is kept, and the spread how far apart they begin, both at the
   * place where that is most.
   */
  | {
      readonly kind: 'sibilants-together'
      readonly evidence: { readonly keptLayerId: number; readonly spreadMs: number }
    }
  /** The value is the spread of a layer's offsets to the lead, P90 of the distance from their median. */
  | {
      readonly kind: 'timing-spread'
      readonly evidence: { readonly medianMs: number; readonly phrases: number }
    }

export type StackFinding = Figures & FindingDetail
