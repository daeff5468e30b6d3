// What is wrong with a take, as kinds and numbers; app/words makes sentences of them.

import { z } from 'zod'
import type { Finding as EngineFinding } from '../dsp/meters/finding.ts'

/** A stretch of a take, in seconds from its first sample. */
export const Place = z.object({ fromS: z.number(), toS: z.number() })
export type Place = z.infer<typeof Place>

const figures = {
  value: z.number(),
  unit: z.string(),
  /** In the same unit. The value is above it or, for counts and percentages, at or above it. */
  threshold: z.number(),
  /** When it first occurs, at most 20 times; empty if the finding applies to the whole take. */
  atSeconds: z.array(z.number()).readonly(),
  /** The first stretches in order, at most 100, for kinds that have stretches. */
  places: z.array(Place).readonly().exactOptional(),
  /** Confidence in the finding, in standard deviations or, for hum, dB; omitted for plain facts. */
  confidence: z.number().exactOptional(),
}

const findingOf = <const K extends string>(kind: K) => z.object({ kind: z.literal(kind), ...figures })

/** One finding of a take; `kind` determines the further fields. */
export const Finding = z.discriminatedUnion('kind', [
  /** `leastRunSamples`: the shortest flat run that counts as clipped. */
  findingOf('clipping').extend({ leastRunSamples: z.int().positive() }),
  findingOf('over-full-scale'),
  findingOf('dc-offset').extend({ where: z.enum(['throughout', 'pauses']) }),
  findingOf('silent'),
  findingOf('noise-floor').extend({ floorDbfs: z.number() }),
  findingOf('hum').extend({ fundamentalHz: z.number(), harmonics: z.array(z.int().positive()).readonly() }),
  /** `rateRatio`: the speed factor that moves the hum to the mains frequency, which is the threshold. */
  findingOf('wrong-rate').extend({ rateRatio: z.number() }),
  findingOf('clicks'),
  findingOf('pops'),
  findingOf('inverted-polarity').extend({ voicedSeconds: z.number(), leastConfidence: z.number() }),
  findingOf('opposite-channels'),
  /** `noiseRiseDb`: rise of the noise after phrases; null if it could not be measured. */
  findingOf('likely-compressed').extend({ noiseRiseDb: z.number().nullable() }),
  /** The value is the early decay of the sound from 3 kHz up, as the time for 60 dB. */
  findingOf('reverberation'),
  findingOf('converted-rate').extend({ dropDb: z.number(), fromRateHz: z.number() }),
  /** The value is how many times as many coefficients are equal in the coder's frames as in others. */
  findingOf('lossy-coding').extend({ coder: z.enum(['mp3', 'aac', 'vorbis']) }),
  findingOf('lossy-bandwidth').extend({ dropDb: z.number() }),
  findingOf('not-one-voice').extend({ because: z.enum(['no-pause', 'low-sound']) }),
  findingOf('too-short'),
  /** The value is how much the file lacks of the length in its header. */
  findingOf('cut-short').extend({ presentSeconds: z.number(), promisedSeconds: z.number() }),
  /** The value is how long the file is, which its header does not say. */
  findingOf('never-closed'),
  /** `lagFrames`: delay of the same sound in the other take, in samples of this take. */
  findingOf('same-performance').extend({
    otherTake: z.string(),
    sharedPhrases: z.int().nonnegative(),
    phrases: z.int().nonnegative(),
    lagSeconds: z.number(),
    lagFrames: z.int(),
    isInverted: z.boolean(),
  }),
])
export type Finding = z.infer<typeof Finding>

// Compile-time check that the engine's type matches the schema.
null as unknown as Finding satisfies EngineFinding
null as unknown as EngineFinding satisfies Finding
