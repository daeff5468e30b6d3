// Measurements at the joints of a chain: before the first stage and after each stage.

import { z } from 'zod'

/** The six strands in which the voice is drawn, from low to high; upper edges in Hz. */
export const STRANDS = [
  { name: 'rumble', toHz: 150 },
  { name: 'mud', toHz: 400 },
  { name: 'body', toHz: 1500 },
  { name: 'edge', toHz: 5000 },
  { name: 'sibilance', toHz: 10_000 },
  { name: 'air', toHz: Number.POSITIVE_INFINITY },
] as const

/** Levels at one joint of a chain; null where nothing is active. */
export const Joint = z.object({
  /** RMS over active material. */
  levelDbfs: z.number().nullable(),
  loudnessLufs: z.number().nullable(),
  samplePeakDbfs: z.number().nullable(),
  crestDb: z.number().nullable(),
  strandsDbfs: z.array(z.number().nullable()).length(STRANDS.length),
})
export type Joint = z.infer<typeof Joint>

/** The effect of one stage of a measured chain; reduction as positive dB. */
export const MeasuredStage = z.object({
  kind: z.string(),
  on: z.boolean(),
  /** Greatest and median reduction over active blocks; null for stages that never reduce or are off. */
  maxReductionDb: z.number().nullable(),
  medianReductionDb: z.number().nullable(),
  /** Why the stage had no effect, as a sentence, e.g. no curve for this take's mic. */
  remark: z.string().nullable(),
})
export type MeasuredStage = z.infer<typeof MeasuredStage>

/** joints[k] is before stages[k]; the last joint is the chain's output. */
export const ChainMeasurement = z.object({
  joints: z.array(Joint),
  stages: z.array(MeasuredStage),
  seconds: z.number(),
})
export type ChainMeasurement = z.infer<typeof ChainMeasurement>
