// Measurements of a take's check other than its findings, stored with the take's facts: noise floor,
// phrases, polarity and so on.

import { z } from 'zod'
import type { StoredCheck } from '../dsp/check/take-check.ts'
import { Place } from './finding.ts'

/** Levels are RMS from 80 Hz up, dBFS; a full-scale sine reads -3.01. null: it could not be measured. */
export const TakeCheck = z.object({
  seconds: z.number(),
  floorDbfs: z.number().nullable(),
  /** Seconds of audio that the floor was measured from. */
  floorSeconds: z.number(),
  /** 95th percentile of the levels of 10 ms frames. */
  voiceDbfs: z.number().nullable(),
  pauseSeconds: z.number(),
  /** Whether the take can be a single voice and is long enough to tell. */
  isOneVoice: z.boolean(),
  phrases: z.array(Place.extend({ levelDbfs: z.number() })).readonly(),
  breaths: z.array(Place).readonly(),
  polarity: z.object({
    verdict: z.enum(['positive', 'inverted', 'undecided']),
    skewness: z.number().nullable(),
    confidence: z.number(),
    voicedSeconds: z.number(),
  }),
  hum: z
    .object({
      mainsHz: z.union([z.literal(50), z.literal(60)]),
      fundamentalHz: z.number(),
      levelDbfs: z.number(),
      rateRatio: z.number(),
      harmonics: z
        .array(
          z.object({
            harmonic: z.int().positive(),
            frequencyHz: z.number(),
            levelDbfs: z.number(),
            prominenceDb: z.number(),
          }),
        )
        .readonly(),
    })
    .nullable(),
  edge: z
    .object({
      edgeHz: z.number(),
      dropDb: z.number(),
      kind: z.enum(['lower-rate', 'coder']),
      fromRateHz: z.number().nullable(),
    })
    .nullable(),
  trackedCompression: z.object({
    isLikely: z.boolean(),
    noiseRiseDb: z.number().nullable(),
    levelSpreadDb: z.number().nullable(),
    overshootSlope: z.number().nullable(),
  }),
})
export type TakeCheck = z.infer<typeof TakeCheck>

// Compile-time check that the engine's type and this schema match.
null as unknown as TakeCheck satisfies StoredCheck
null as unknown as StoredCheck satisfies TakeCheck
