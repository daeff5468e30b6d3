// Background tasks: bounces, imports and demo builds, which may take minutes. They belong to the program, not
// to the page that started them: a reloaded page can list them, follow their progress and get their outcome.

import { z } from 'zod'
import { Failure } from '../failure.ts'

/** What the task does, and with what. */
export const BackgroundTaskSubject = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('bounce'), songTitle: z.string() }),
  z.object({ kind: z.literal('delivery'), songTitle: z.string() }),
  z.object({
    kind: z.literal('import'),
    files: z.int().positive(),
    /** The session that the takes are imported into. */
    sessionId: z.int().positive(),
  }),
  z.object({ kind: z.literal('demo') }),
  z.object({ kind: z.literal('archive'), songTitle: z.string() }),
  z.object({
    kind: z.literal('restore'),
    /** Folder of the archive. */
    bag: z.string(),
  }),
])
export type BackgroundTaskSubject = z.infer<typeof BackgroundTaskSubject>

/** A task that continues after its page is closed. */
export const BackgroundTask = z.object({
  id: z.int().positive(),
  subject: BackgroundTaskSubject,
  /** 0 to 1. */
  fraction: z.number(),
  /** The current step in words; empty before the first report. */
  doing: z.string(),
  /** Whether it ended while no page was connected. */
  hasEnded: z.boolean(),
})
export type BackgroundTask = z.infer<typeof BackgroundTask>

/** Abort reason of a page's calls when the page is closed; background tasks ignore it. */
export const PAGE_GONE = new Failure('cancelled', 'The page that started it was closed.')
