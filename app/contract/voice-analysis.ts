// The analysis of the voice in a take, as stored with the take's facts, and the proposals and
// comparisons derived from it.

import { z } from 'zod'
import type { Soundcheck as EngineSoundcheck } from '../dsp/analysis/soundcheck.ts'
import type { Evidence as EngineEvidence } from '../dsp/analysis/starting/proposal.ts'
import type { VoiceAnalysis as EngineVoiceAnalysis } from '../dsp/analysis/voice-analysis.ts'
import { ChainStage } from './chain-document.ts'

/** RMS level in dBFS per third octave from 50 Hz to 16 kHz; null where there is no value. */
const BandLevels = z.array(z.number().nullable()).readonly()

const SibilantEvent = z.object({
  startSeconds: z.number(),
  endSeconds: z.number(),
  peakHz: z.number(),
  levelDbfs: z.number(),
  ratioDb: z.number(),
  /** 1 for the greatest ratio of the take. */
  rank: z.int().positive(),
})

const Resonance = z.object({
  frequencyHz: z.number(),
  prominenceDb: z.number(),
  q: z.number(),
  persistencePercent: z.number(),
})

/** The analysis of a voice: Hz, seconds, levels in dBFS, ratios and balances in dB. */
export const VoiceAnalysed = z.object({
  outcome: z.literal('analysed'),
  activeSeconds: z.number(),
  fundamental: z.object({
    p5Hz: z.number(),
    medianHz: z.number(),
    p95Hz: z.number(),
    interquartileSemitones: z.number(),
    voicedSeconds: z.number(),
    octaveErrorPercent: z.number(),
  }),
  spectrum: z.object({ levelsDbfs: BandLevels, frames: z.int(), seconds: z.number() }),
  voiceLevelDbfs: z.number(),
  quietLevelDbfs: z.number(),
  loudLevelDbfs: z.number(),
  noise: z.object({ levelsDbfs: BandLevels, levelDbfs: z.number(), seconds: z.number() }).nullable(),
  sibilance: z.object({
    events: z.array(SibilantEvent).readonly(),
    peakHz: z.number().nullable(),
    ratioDb: z.number().nullable(),
    upperRatioDb: z.number().nullable(),
    hotRatioDb: z.number().nullable(),
    spectrum: z.object({ levelsDbfs: BandLevels, frames: z.int() }).nullable(),
    vowelRatioP95Db: z.number().nullable(),
  }),
  /** Spectral envelope of the voiced frames, without their harmonics: point i at 100 * 2^(i/24) Hz, dB. */
  envelopeDb: z.array(z.number()).readonly(),
  resonances: z.array(Resonance).readonly(),
  bands: z.object({
    warmthDb: z.number().nullable(),
    mudDb: z.number().nullable(),
    boxyDb: z.number().nullable(),
    nasalDb: z.number().nullable(),
    harshDb: z.number().nullable(),
    airDb: z.number().nullable(),
  }),
  /** What the opto makes of the take at several thresholds; takes analysed earlier have none. */
  levelling: z
    .object({
      ratio: z.number(),
      steps: z
        .array(
          z.object({
            thresholdDbfs: z.number(),
            medianReductionDb: z.number(),
            loudReductionDb: z.number(),
            peakDbfs: z.number(),
            usualPeakDbfs: z.number(),
          }),
        )
        .min(2)
        .readonly(),
    })
    .optional(),
})
export type VoiceAnalysed = z.infer<typeof VoiceAnalysed>

/** The analysis of a take, or why there is not enough voice for one. */
export const VoiceAnalysis = z.discriminatedUnion('outcome', [
  VoiceAnalysed,
  z.object({
    outcome: z.literal('not-enough-material'),
    /**
     * silent: no sound. too-short: less than `neededSeconds` of voice. unpitched: too little of it
     * has the pitch of a single voice. unclear: no stretch is long and clear enough to measure.
     */
    why: z.enum(['silent', 'too-short', 'unpitched', 'unclear']),
    takeSeconds: z.number(),
    activeSeconds: z.number(),
    voicedSeconds: z.number(),
    neededSeconds: z.number(),
  }),
])
export type VoiceAnalysis = z.infer<typeof VoiceAnalysis>

/** A measurement and the setting that follows from it. Gains and ranges are those of the proposed stage. */
export const Evidence = z.discriminatedUnion('kind', [
  /** 5 % of the pitch is below `p5Hz`. */
  z.object({ kind: z.literal('pitch-range'), p5Hz: z.number(), frequencyHz: z.number() }),
  /** The 50 Hz band of the pauses is `underVoiceDb` below the voice. */
  z.object({ kind: z.literal('rumble'), underVoiceDb: z.number(), slopeDbPerOctave: z.number() }),
  /** A resonance stands out by `prominenceDb` in `persistencePercent` of the seconds. */
  z.object({
    kind: z.literal('resonance'),
    frequencyHz: z.number(),
    prominenceDb: z.number(),
    persistencePercent: z.number(),
    gainDb: z.number(),
  }),
  /** A resonance stands out by `excessDb` more than in the earlier takes. */
  z.object({
    kind: z.literal('new-resonance'),
    frequencyHz: z.number(),
    excessDb: z.number(),
    earlierTakes: z.int(),
    gainDb: z.number(),
  }),
  /** A band is stronger (above 0) or weaker than in the earlier takes; `spreadDb`: standard deviation. */
  z.object({
    kind: z.literal('balance'),
    band: VoiceAnalysed.shape.bands.keyof(),
    excessDb: z.number(),
    spreadDb: z.number(),
    earlierTakes: z.int(),
    frequencyHz: z.number(),
    gainDb: z.number(),
  }),
  /** The median peak frequency of the sibilants. */
  z.object({
    kind: z.literal('sibilant-peak'),
    events: z.int(),
    peakHz: z.number(),
    shape: z.enum(['bell', 'high-shelf']),
    frequencyHz: z.number(),
  }),
  /** Sibilants more than 4 dB above the singer's own upper quartile. */
  z.object({ kind: z.literal('hot-sibilants'), events: z.int(), rangeDb: z.number() }),
  /** The sibilants are stronger than in the earlier takes. */
  z.object({
    kind: z.literal('stronger-sibilants'),
    excessDb: z.number(),
    earlierTakes: z.int(),
    rangeDb: z.number(),
  }),
  /** 95 % of the vowels stay below `vowelRatioP95Db`, and the sibilants reach `sibilantRatioDb`. */
  z.object({
    kind: z.literal('sibilant-ratio'),
    vowelRatioP95Db: z.number(),
    sibilantRatioDb: z.number(),
    thresholdDb: z.number(),
    rangeDb: z.number(),
  }),
  /** Loud moments reach `loudDbfs`; the softest tenth of the singing is `rangeDb` lower. */
  z.object({
    kind: z.literal('dynamic-range'),
    loudDbfs: z.number(),
    rangeDb: z.number(),
    ratio: z.number(),
    thresholdDbfs: z.number(),
    reductionDb: z.number(),
  }),
  /** Run on this take, the opto reduces half of the singing by the one, and a tenth by more than the other. */
  z.object({ kind: z.literal('levelling'), medianReductionDb: z.number(), loudReductionDb: z.number() }),
  /** The air (10 to 16 kHz) is `underBodyDb` below the body, and the noise at least `snrDb` below the air. */
  z.object({
    kind: z.literal('little-air'),
    underBodyDb: z.number(),
    snrDb: z.number(),
    frequencyHz: z.number(),
    gainDb: z.number(),
  }),
  /** 2 to 5 kHz are `edgeDb` (below 0) beside the body; the noise of the pauses is `snrDb` below the voice. */
  z.object({ kind: z.literal('dark-voice'), edgeDb: z.number(), snrDb: z.number(), amountDb: z.number() }),
  /** Behind the opto the highest peak is at `peakDbfs`, and 99 % of the peaks are below `usualPeakDbfs`. */
  z.object({
    kind: z.literal('peaks'),
    peakDbfs: z.number(),
    usualPeakDbfs: z.number(),
    ceilingDbtp: z.number(),
  }),
])
export type Evidence = z.infer<typeof Evidence>

/** A stage with settings to start from, to be checked by ear. */
export const StageProposal = z.object({
  stage: ChainStage,
  evidence: z.array(Evidence).readonly(),
  /** 0 to 1. */
  confidence: z.number(),
})
export type StageProposal = z.infer<typeof StageProposal>

/** In dB: mean over earlier takes, one standard deviation, and the largest usual deviation from the mean. */
const UsualSpread = z.object({ takes: z.int(), mean: z.number(), spread: z.number(), limit: z.number() })
export type UsualSpread = z.infer<typeof UsualSpread>

/** This voice's balances over its earlier takes; null if there are fewer than two. */
export const UsualBalances = z.object({
  warmthDb: UsualSpread.nullable(),
  mudDb: UsualSpread.nullable(),
  boxyDb: UsualSpread.nullable(),
  nasalDb: UsualSpread.nullable(),
  harshDb: UsualSpread.nullable(),
  airDb: UsualSpread.nullable(),
})
export type UsualBalances = z.infer<typeof UsualBalances>

const SoundcheckMeasure = z.object({
  name: z.enum(['band', 'level', 'noise-floor', 'distance', 'sibilance']),
  /** Nominal frequency of a third octave, for bands; otherwise null. */
  frequencyHz: z.number().nullable(),
  /** dB */
  today: z.number(),
  usual: UsualSpread,
  isUnusual: z.boolean(),
})
export type SoundcheckMeasure = z.infer<typeof SoundcheckMeasure>

/** A take beside the same voice’s earlier takes. */
export const SoundcheckResult = z.discriminatedUnion('outcome', [
  z.object({
    outcome: z.literal('compared'),
    earlierTakes: z.int(),
    /** Whether the response of the mics was removed from the spectra. */
    isMicTakenOut: z.boolean(),
    /** Bands in order of frequency, then the measures of the whole take. */
    measures: z.array(SoundcheckMeasure).readonly(),
    /** Sentences about the comparison itself. */
    remarks: z.array(z.string()).readonly(),
  }),
  z.object({
    outcome: z.literal('not-enough-history'),
    earlierTakes: z.int(),
    neededTakes: z.int(),
    /** Earlier takes that had to be left out, as sentences. */
    remarks: z.array(z.string()).readonly(),
  }),
])
export type SoundcheckResult = z.infer<typeof SoundcheckResult>

// Compile-time check that the engine's types match the schemas.
null as unknown as VoiceAnalysis satisfies EngineVoiceAnalysis
null as unknown as EngineVoiceAnalysis satisfies VoiceAnalysis
null as unknown as Evidence satisfies EngineEvidence
null as unknown as EngineEvidence satisfies Evidence
null as unknown as SoundcheckResult satisfies EngineSoundcheck
