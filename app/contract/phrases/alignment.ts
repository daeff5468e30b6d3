// What `align` has moved: each phrase of a file with its timing against the guide before and after.

import { z } from 'zod'

/**
 * Why a phrase was left alone: it is no line of the guide, another phrase was taken for its line, its timing is not sure,
 * it is too far away, it is in time, or the pauses around it are too short.
 */
const LeftReason = z.enum(['no-line', 'repeated', 'unsure', 'too-far', 'in-time', 'no-room'])
export type LeftReason = z.infer<typeof LeftReason>

export const Alignment = z.object({
  out: z.string(),
  tightness: z.number().min(0).max(1),
  phrases: z.array(
    z.object({
      /** In FILE, before it is moved. */
      fromS: z.number().nonnegative(),
      toS: z.number().nonnegative(),
      /** Of the median onset, positive: later than the guide; null where the phrase is no line of the guide. */
      offsetMs: z.number().nullable(),
      /** Positive: moved later. */
      movedMs: z.number(),
      /** The offset that is left; null as offsetMs. */
      leftMs: z.number().nullable(),
      /** Length after over length before; 1: moved and not stretched. */
      stretch: z.number().positive(),
      confidence: z.number().min(0).max(1),
      /** Null where the phrase was moved. */
      left: LeftReason.nullable(),
    }),
  ),
  /** Sentences about the files. */
  remarks: z.array(z.string()),
})
export type Alignment = z.infer<typeof Alignment>
