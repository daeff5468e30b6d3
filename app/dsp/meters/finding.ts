// A finding: what is wrong with a take, as kinds and numbers. The words for them are in app/words.

import type { Span } from '../maths/span.ts'
import { MAX_OCCURRENCES } from './first-occurrences.ts'

interface Figures {
  readonly value: number
  readonly unit: string
  /** In the same unit. A finding is made when the value is above it; counts and shares, at or above it. */
  readonly threshold: number
  /** The first places, at most 20, in seconds from the start; empty where the finding applies throughout. */
  readonly atSeconds: readonly number[]
  /** The first stretches in order, at most 100, for kinds that have stretches. */
  readonly places?: readonly Span[]
  /** How sure the finding is, in standard deviations or, for hum, dB; left out for plain facts. */
  readonly confidence?: number
}

/** Details of each kind beyond the figures above. */
type FindingDetail =
  /** @property leastRunSamples shortest flat run that counts as clipped */
  | { readonly kind: 'clipping'; readonly leastRunSamples: number }
  | { readonly kind: 'over-full-scale' }
  | { readonly kind: 'dc-offset'; readonly where: 'throughout' | 'pauses' }
  | { readonly kind: 'silent' }
  | { readonly kind: 'noise-floor'; readonly floorDbfs: number }
  | { readonly kind: 'hum'; readonly fundamentalHz: number; readonly harmonics: readonly number[] }
  /** @property rateRatio playback speed that moves the hum to the mains frequency, the threshold */
  | { readonly kind: 'wrong-rate'; readonly rateRatio: number }
  | { readonly kind: 'clicks' }
  | { readonly kind: 'pops' }
  | { readonly kind: 'inverted-polarity'; readonly voicedSeconds: number; readonly leastConfidence: number }
  | { readonly kind: 'opposite-channels' }
  /** @property noiseRiseDb after phrases; null where it could not be measured */
  | { readonly kind: 'likely-compressed'; readonly noiseRiseDb: number | null }
  /** The value is the early decay of the sound from 3 kHz up, as the time for 60 dB. */
  | { readonly kind: 'reverberation' }
  | { readonly kind: 'converted-rate'; readonly dropDb: number; readonly fromRateHz: number }
  /** The value is how many times as many coefficients are equal in the coder's frames as in others. */
  | { readonly kind: 'lossy-coding'; readonly coder: 'mp3' | 'aac' | 'vorbis' }
  | { readonly kind: 'lossy-bandwidth'; readonly dropDb: number }
  | { readonly kind: 'not-one-voice'; readonly because: 'no-pause' | 'low-sound' }
  | { readonly kind: 'too-short' }
  /** The value is how much the file lacks of the length in its header. */
  | { readonly kind: 'cut-short'; readonly presentSeconds: number; readonly promisedSeconds: number }
  /** The value is how long the file is, which its header does not say. */
  | { readonly kind: 'never-closed' }
  /** @property lagFrames how much later the other take has the same sound, in samples of this take */
  | {
      readonly kind: 'same-performance'
      readonly otherTake: string
      readonly sharedPhrases: number
      readonly phrases: number
      readonly lagSeconds: number
      readonly lagFrames: number
      readonly isInverted: boolean
    }

export type Finding = Figures & FindingDetail

/** Most places and moments that a finding carries. */
const MAX_PLACES = 100
const MAX_MOMENTS = MAX_OCCURRENCES

/** The places of a finding, from spans in order: its first 20 moments and its first 100 stretches. */
export function placed(spans: readonly Span[]): Pick<Figures, 'atSeconds' | 'places'> {
  return {
    atSeconds: spans.slice(0, MAX_MOMENTS).map(({ fromS }) => fromS),
    places: spans.slice(0, MAX_PLACES).map(({ fromS, toS }) => ({ fromS, toS })),
  }
}
