// What archiving a session and restoring an archive give.

import { z } from 'zod'

export const ArchiveOutcome = z.object({
  /** Absolute path of the bag's folder. */
  bag: z.string(),
  takes: z.int().nonnegative(),
  stems: z.int().nonnegative(),
  /** Earlier bounces and deliveries of the session that are in it. */
  outputs: z.int().nonnegative(),
  /** Bytes of the payload that are new on the disk, and that are names of files of older archives. */
  newBytes: z.int().nonnegative(),
  linkedBytes: z.int().nonnegative(),
  /** In how many files of their own, the takes' own ones included, each take is at least. */
  copies: z.int().nonnegative(),
  remarks: z.array(z.string()),
})
export type ArchiveOutcome = z.infer<typeof ArchiveOutcome>

export const RestoreOutcome = z.object({
  sessionId: z.int().positive(),
  /** Takes that were copied, and those whose bytes were there already. */
  copied: z.int().nonnegative(),
  there: z.int().nonnegative(),
  /** Stems that rendering again gives other bytes for, or that could not be rendered, and why. */
  differing: z.array(z.object({ stem: z.string(), reason: z.string() })),
  /** Stems that have the same bytes. */
  same: z.array(z.string()),
  /** Earlier bounces and deliveries that were copied to beside the catalogue. */
  outputs: z.int().nonnegative(),
  remarks: z.array(z.string()),
})
export type RestoreOutcome = z.infer<typeof RestoreOutcome>
