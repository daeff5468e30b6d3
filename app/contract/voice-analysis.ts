// What a take says of the voice in it, and what is proposed and compared from it, as it is
// stored with the take's facts and crosses borders.

import { z } from 'zod'
import type { Soundcheck as EngineSoundcheck } from '../dsp/analysis/soundcheck.ts'
import type { VoiceAnalysis as EngineVoiceAnalysis } from '../dsp/analysis/voice-analysis.ts'
import { ChainStage } from './chain-document.ts'

/** RMS level in dBFS per third octave from 50 Hz to 16 kHz; null where there is nothing to say. */
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
  /** The voiced frames without their harmonics: point i at 100 * 2^(i/24) Hz, dB. */
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
})
export type VoiceAnalysed = z.infer<typeof VoiceAnalysed>

export const VoiceAnalysis = z.discriminatedUnion('outcome', [
  VoiceAnalysed,
  z.object({
    outcome: z.literal('not-enough-material'),
    activeSeconds: z.number(),
    voicedSeconds: z.number(),
    /** One sentence: what there is, what is needed, what to do. */
    reason: z.string(),
  }),
])
export type VoiceAnalysis = z.infer<typeof VoiceAnalysis>

/** A stage with settings to start from, to be heard first. */
export const StageProposal = z.object({
  stage: ChainStage,
  /** Sentences: what was measured, and what follows from it. */
  evidence: z.array(z.string()).readonly(),
  /** 0 to 1. */
  confidence: z.number(),
})
export type StageProposal = z.infer<typeof StageProposal>

/** dB: the mean over earlier takes, one standard deviation, and how far from the mean a take may lie. */
const UsualSpread = z.object({ takes: z.int(), mean: z.number(), spread: z.number(), limit: z.number() })
export type UsualSpread = z.infer<typeof UsualSpread>

/** This voice's balances over its earlier takes; null where there are fewer than two. */
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
  /** Of a third octave, for bands. */
  frequencyHz: z.number().nullable(),
  /** dB */
  today: z.number(),
  usual: UsualSpread,
  isUnusual: z.boolean(),
})
export type SoundcheckMeasure = z.infer<typeof SoundcheckMeasure>

export const SoundcheckResult = z.discriminatedUnion('outcome', [
  z.object({
    outcome: z.literal('compared'),
    earlierTakes: z.int(),
    /** Whether the curves of the mics were taken out. */
    isMicTakenOut: z.boolean(),
    measures: z.array(SoundcheckMeasure).readonly(),
    /** One for each that left its usual spread; empty when all is as usual. */
    sentences: z.array(z.string()).readonly(),
    /** What to know about the comparison itself. */
    remarks: z.array(z.string()).readonly(),
  }),
  z.object({ outcome: z.literal('not-enough-history'), earlierTakes: z.int(), reason: z.string() }),
])
export type SoundcheckResult = z.infer<typeof SoundcheckResult>

// The engine's types and the border's schemas say the same thing.
null as unknown as VoiceAnalysis satisfies EngineVoiceAnalysis
null as unknown as EngineVoiceAnalysis satisfies VoiceAnalysis
null as unknown as SoundcheckResult satisfies EngineSoundcheck
