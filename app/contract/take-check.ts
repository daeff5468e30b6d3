// Data of a take's check beside its findings, stored with the take's facts: noise floor, phrases,
// polarity and so on.

import { z } from 'zod'
import type { StoredCheck } from '../dsp/check/take-check.ts'
import { Place } from './finding.ts'

/** Levels are RMS from 80 Hz up, dBFS; a full-scale sine reads -3.01. null: it could not be read. */
export const TakeCheck = z.object({
  seconds: z.number(),
  floorDbfs: z.number().nullable(),
  /** Seconds that the floor was read from. */
  floorSeconds: z.number(),
  /** 95th percentile of the levels of 10 ms. */
  voiceDbfs: z.number().nullable(),
  pauseSeconds: z.number(),
  /** Whether it can be one voice, and long enough to be judged as one. */
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

// The engine's type and the border's schema say the same thing.
null as unknown as TakeCheck satisfies StoredCheck
null as unknown as StoredCheck satisfies TakeCheck
