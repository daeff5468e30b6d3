// The measured facts of a take, from the engine's take meter.

import { z } from 'zod'
import { Finding } from './finding.ts'
import { TakeCheck } from './take-check.ts'
import { VoiceAnalysis } from './voice-analysis.ts'

/** null where the material has no such value: silence has no loudness. */
export const TakeFacts = z.object({
  integratedLufs: z.number().nullable(),
  loudnessRangeLu: z.number().nullable(),
  maxMomentaryLufs: z.number().nullable(),
  maxShortTermLufs: z.number().nullable(),
  truePeakDbtp: z.number().nullable(),
  samplePeakDbfs: z.number().nullable(),
  dcOffset: z.number(),
  findings: z.array(Finding).readonly(),
  /** Absent in takes imported before takes were checked. */
  check: TakeCheck.optional(),
  /** Absent in takes imported before voices were analysed. */
  voice: VoiceAnalysis.optional(),
})
export type TakeFacts = z.infer<typeof TakeFacts>

/** Output of `measure` for one file. */
export const FileFacts = TakeFacts.extend({
  sha256: z.string().regex(/^[0-9a-f]{64}$/),
  sampleRateHz: z.int().positive(),
  channels: z.int().positive(),
  frames: z.int().nonnegative(),
  container: z.string(),
  encoding: z.string(),
  /** Sentences about the file, such as that it contains more than its header says. */
  remarks: z.array(z.string()),
})
export type FileFacts = z.infer<typeof FileFacts>
