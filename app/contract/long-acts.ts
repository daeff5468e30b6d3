// Acts that take minutes. They belong to the program and not to the page that asked for them:
// a page that is loaded again finds them, how far they are, and what came of them.

import { z } from 'zod'
import { Failure } from './failure.ts'

/** What such an act is about. */
export const LongActSubject = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('bounce'), songTitle: z.string() }),
  z.object({ kind: z.literal('import'), files: z.int().positive() }),
  z.object({ kind: z.literal('demo') }),
])
export type LongActSubject = z.infer<typeof LongActSubject>

export const LongAct = z.object({
  id: z.int().positive(),
  subject: LongActSubject,
  /** 0 to 1. */
  fraction: z.number(),
  /** A few words on what is being done; empty before the first of it. */
  doing: z.string(),
  /** It has ended while no page was there to be told. */
  hasEnded: z.boolean(),
})
export type LongAct = z.infer<typeof LongAct>

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

/** Why the calls of a page are aborted once the page is gone; its long acts go on. */
export const PAGE_GONE = new Failure('cancelled', 'The page that asked for it is gone.')
