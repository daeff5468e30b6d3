// Levels of the whole processed stack, and its fold-down to mono.

import { z } from 'zod'

const LevelOrNull = z.number().nullable()

/** Levels of a processed stack; null if it is silent. */
export const StackMeasurement = z.object({
  integratedLufs: LevelOrNull,
  loudnessRangeLu: LevelOrNull,
  maxMomentaryLufs: LevelOrNull,
  maxShortTermLufs: LevelOrNull,
  truePeakDbtp: LevelOrNull,
  samplePeakDbfs: LevelOrNull,
  mono: z.object({
    lossDb: LevelOrNull,
    bands: z
      .array(z.object({ nominalHz: z.number(), lossDb: z.number(), sharePercent: z.number() }))
      .readonly(),
    correlationP5: LevelOrNull,
    opposedPercent: LevelOrNull,
  }),
})
export type StackMeasurement = z.infer<typeof StackMeasurement>
