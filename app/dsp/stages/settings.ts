// The settings of every stage, with the unit in each name. This is the one place
// that says what the numbers mean; the contract's schemas are pinned to it.

/** One second-order section, in the terms of the prototypes of the W3C Audio EQ Cookbook (8 June 2021). */
export interface Band {
  readonly shape: 'low-shelf' | 'bell' | 'high-shelf'
  readonly frequencyHz: number
  readonly gainDb: number
  /** Q of the cookbook prototype: 1/sqrt(2) is the shelf of slope S = 1. */
  readonly q: number
}

/** Level into the chain, and polarity. */
export interface TrimSettings {
  readonly gainDb: number
  readonly invertPolarity: boolean
}

/** Downward expander for the room between phrases. */
export interface ExpanderSettings {
  /** RMS level of the leader below which the expander reduces. */
  readonly thresholdDbfs: number
  /** dB out per dB in below the threshold, 1 or more. */
  readonly ratio: number
  /** Maximum reduction. */
  readonly rangeDb: number
  readonly attackMs: number
  readonly holdMs: number
  readonly releaseMs: number
}

/** The fitted bands that correct one mic. */
export interface MicCorrectionSettings {
  readonly bands: readonly Band[]
}

/** Butterworth high-pass. */
export interface LowCutSettings {
  /** -3.01 dB point. */
  readonly frequencyHz: number
  readonly slopeDbPerOctave: 12 | 24
}

/** Equaliser bands in any order. */
export interface ToneSettings {
  readonly bands: readonly Band[]
}

/** Reduces sibilance: a dynamic high shelf or bell that cuts while the sibilant band outweighs the voice below it. */
export interface DeEssSettings {
  readonly shape: 'high-shelf' | 'bell'
  readonly frequencyHz: number
  /** Ratio of the sibilant band (4.5 to 10.5 kHz) to the voice (0.2 to 4 kHz) in dB above which it acts. */
  readonly thresholdDb: number
  /** Maximum reduction. */
  readonly rangeDb: number
}

/** Harmonic grit: an oversampled smooth curve. */
export interface DriveSettings {
  /** Gain into the curve; at 0 dB the reference level is 12 dB under the knee. */
  readonly amountDb: number
  /** The level that counts as 0 dB of the curve's input: about the P95 level of the voice at this joint. */
  readonly referenceDbfs: number
  /** Bias of the curve, 0 to 100: even harmonics. */
  readonly evenPercent: number
  readonly mixPercent: number
  /** Gain after the curve, so that driven and clean are equally loud. */
  readonly outputDb: number
}

/** Optical-style levelling: a soft knee and a release with memory. */
export interface OptoSettings {
  readonly thresholdDbfs: number
  readonly ratio: number
  readonly kneeDb: number
  readonly attackMs: number
  /** Release time of the fast cell. */
  readonly releaseMs: number
  /** Release time constant of the slow cell after long compression; a tenth of it after short bursts. */
  readonly recoverySeconds: number
  readonly makeUpDb: number
}

/** True-peak limiter. */
export interface CeilingSettings {
  readonly ceilingDbtp: number
  readonly lookAheadMs: number
  readonly releaseMs: number
}

/** A stage with all that is needed to run it: the mic's fit is already resolved into bands. */
export type StageSetup =
  | { readonly kind: 'trim'; readonly settings: TrimSettings }
  | { readonly kind: 'expander'; readonly settings: ExpanderSettings }
  | { readonly kind: 'mic-correction'; readonly settings: MicCorrectionSettings }
  | { readonly kind: 'low-cut'; readonly settings: LowCutSettings }
  | { readonly kind: 'tone'; readonly settings: ToneSettings }
  | { readonly kind: 'de-ess'; readonly settings: DeEssSettings }
  | { readonly kind: 'drive'; readonly settings: DriveSettings }
  | { readonly kind: 'opto'; readonly settings: OptoSettings }
  | { readonly kind: 'ceiling'; readonly settings: CeilingSettings }

/** The kinds of stages, as in `StageSetup`. */
export type StageKind = StageSetup['kind']
