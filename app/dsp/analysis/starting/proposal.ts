// A setting to start from, with the measurements behind it. The user auditions and
// applies it; nothing is applied automatically.

import type { StageKind, StageSetup } from '../../stages/settings.ts'
import type { VoiceBands } from '../spectra/voice-bands.ts'

/** A measurement and the setting that follows from it. Gains and ranges are those of the proposed stage. */
export type Evidence =
  /** 5 % of the pitch is below `p5Hz`. */
  | { readonly kind: 'pitch-range'; readonly p5Hz: number; readonly frequencyHz: number }
  /** The 50 Hz band of the pauses is `underVoiceDb` below the voice. */
  | { readonly kind: 'rumble'; readonly underVoiceDb: number; readonly slopeDbPerOctave: number }
  /** A resonance stands out by `prominenceDb` in `persistencePercent` of the seconds. */
  | {
      readonly kind: 'resonance'
      readonly frequencyHz: number
      readonly prominenceDb: number
      readonly persistencePercent: number
      readonly gainDb: number
    }
  /** A resonance stands out by `excessDb` more than in the earlier takes. */
  | {
      readonly kind: 'new-resonance'
      readonly frequencyHz: number
      readonly excessDb: number
      readonly earlierTakes: number
      readonly gainDb: number
    }
  /** A band is stronger (above 0) or weaker than in the earlier takes; `spreadDb`: standard deviation. */
  | {
      readonly kind: 'balance'
      readonly band: keyof VoiceBands
      readonly excessDb: number
      readonly spreadDb: number
      readonly earlierTakes: number
      readonly frequencyHz: number
      readonly gainDb: number
    }
  /** The median peak frequency of the sibilants. */
  | {
      readonly kind: 'sibilant-peak'
      readonly events: number
      readonly peakHz: number
      readonly shape: 'bell' | 'high-shelf'
      readonly frequencyHz: number
    }
  /** Sibilants more than 4 dB above the singer's own upper quartile. */
  | { readonly kind: 'hot-sibilants'; readonly events: number; readonly rangeDb: number }
  /** The sibilants are stronger than in the earlier takes. */
  | {
      readonly kind: 'stronger-sibilants'
      readonly excessDb: number
      readonly earlierTakes: number
      readonly rangeDb: number
    }
  /** 95 % of the vowels stay below `vowelRatioP95Db`, and the sibilants reach `sibilantRatioDb`. */
  | {
      readonly kind: 'sibilant-ratio'
      readonly vowelRatioP95Db: number
      readonly sibilantRatioDb: number
      readonly thresholdDb: number
      readonly rangeDb: number
    }
  /** Loud moments reach `loudDbfs`; the softest tenth of the singing is `rangeDb` lower. */
  | {
      readonly kind: 'dynamic-range'
      readonly loudDbfs: number
      readonly rangeDb: number
      readonly ratio: number
      readonly thresholdDbfs: number
      readonly reductionDb: number
    }
  /** Run on this take, the opto reduces half of the singing by the one, and a tenth by more than the other. */
  | { readonly kind: 'levelling'; readonly medianReductionDb: number; readonly loudReductionDb: number }
  /** The air (10 to 16 kHz) is `underBodyDb` below the body, and the noise at least `snrDb` below the air. */
  | {
      readonly kind: 'little-air'
      readonly underBodyDb: number
      readonly snrDb: number
      readonly frequencyHz: number
      readonly gainDb: number
    }
  /** 2 to 5 kHz are `edgeDb` (below 0) beside the body; the noise of the pauses is `snrDb` below the voice. */
  | {
      readonly kind: 'dark-voice'
      readonly edgeDb: number
      readonly snrDb: number
      readonly amountDb: number
    }
  /** Behind the opto the highest peak is at `peakDbfs`, and 99 % of the peaks are below `usualPeakDbfs`. */
  | {
      readonly kind: 'peaks'
      readonly peakDbfs: number
      readonly usualPeakDbfs: number
      readonly ceilingDbtp: number
    }

/** A stage with suggested settings. */
export interface Proposal {
  readonly stage: StageSetup
  readonly evidence: readonly Evidence[]
  /** 0 to 1, from the amount of voice and how persistently the finding shows. */
  readonly confidence: number
}

/** A proposal for one kind of stage. */
export type ProposalOf<K extends StageKind> = Proposal & {
  readonly stage: Extract<StageSetup, { readonly kind: K }>
}

/**
 * Amount of voice for full confidence: the long-term spectrum has settled (after 30 to 40 s: Nordenberg and
 * Sundberg, names from memory).
 */
const SETTLED_SECONDS = 30

/** @param seconds of voice @param persistence share of them in which the finding shows, 0 to 1 */
export function confidenceFrom(seconds: number, persistence = 1): number {
  return persistence * Math.min(1, seconds / SETTLED_SECONDS)
}

/** `value` limited to the range from `low` to `high`. */
export function clamp(value: number, low: number, high: number): number {
  return Math.min(high, Math.max(low, value))
}
