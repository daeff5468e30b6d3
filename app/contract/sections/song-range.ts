// Which part of a song is bounced, delivered, measured or checked.

import { z } from 'zod'
import { Id } from '../entities.ts'
import { MAX_FRAMES, MAX_NAME, MAX_OFFSET_FRAMES } from '../text/limits.ts'

/** Which part of the song. */
export const SongRange = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('song') }),
  /** A named section of the session. */
  z.object({ kind: z.literal('section'), sectionId: Id }),
  /** From one session frame to another, which is not in it. */
  z
    .object({
      kind: z.literal('frames'),
      fromFrame: z.int().min(-MAX_OFFSET_FRAMES).max(MAX_FRAMES),
      toFrame: z.int().min(-MAX_OFFSET_FRAMES).max(MAX_FRAMES),
    })
    .refine(({ fromFrame, toFrame }) => fromFrame < toFrame, 'the range has to end after it begins'),
])
export type SongRange = z.infer<typeof SongRange>

/** A part of a song as a manifest says it: session frames, at the rate of the plan. */
export const SongSpan = z.strictObject({
  /** The section, or the times; empty for the whole song. */
  name: z.string().max(2 * MAX_NAME),
  startFrame: z.int().min(-MAX_OFFSET_FRAMES).max(MAX_FRAMES),
  frames: z.int().positive().max(MAX_FRAMES),
})
export type SongSpan = z.infer<typeof SongSpan>
