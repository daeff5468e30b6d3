// Acts that take minutes. They belong to the program, not to the page that started them: a reloaded
// page can list them, follow their progress and get their outcome.

import { z } from 'zod'
import { Failure } from '../failure.ts'

/** What the act does, and on what. */
export const LongActSubject = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('bounce'), songTitle: z.string() }),
  z.object({ kind: z.literal('import'), files: z.int().positive() }),
  z.object({ kind: z.literal('demo') }),
])
export type LongActSubject = z.infer<typeof LongActSubject>

/** An act that continues after its page is closed. */
export const LongAct = z.object({
  id: z.int().positive(),
  subject: LongActSubject,
  /** 0 to 1. */
  fraction: z.number(),
  /** The current step in words; empty before the first report. */
  doing: z.string(),
  /** It ended while no page was connected. */
  hasEnded: z.boolean(),
})
export type LongAct = z.infer<typeof LongAct>

/** Name of a long act in a sentence. */
export function nameOfLongAct(subject: LongActSubject): string {
  switch (subject.kind) {
    case 'bounce':
      return `Bounce of ${subject.songTitle}`
    case 'import':
      return `Import of ${subject.files === 1 ? '1 file' : `${subject.files} files`}`
    case 'demo':
      return 'Building the demo'
  }
}

/** Abort reason of a page's calls when the page is closed; long acts ignore it. */
export const PAGE_GONE = new Failure('cancelled', 'The page that started it was closed.')
