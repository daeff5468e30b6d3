// Sections: named ranges of the song, such as a verse or a hook, and places in it.

import { z } from 'zod'
import { Name, wellFormed } from '../text/bounded.ts'
import { MAX_NOTE, MAX_OFFSET_FRAMES } from '../text/limits.ts'

const Id = z.int().positive()

/** A section as entered, in samples of the session. Sections may overlap, as a hook and its last line do. */
export const SectionFields = z.object({
  name: Name,
  startSamples: z.int().min(-MAX_OFFSET_FRAMES).max(MAX_OFFSET_FRAMES),
  /** 0 for a place, such as a cue. */
  lengthSamples: z.int().min(0).max(MAX_OFFSET_FRAMES),
  note: wellFormed(MAX_NOTE),
})
export type SectionFields = z.infer<typeof SectionFields>

/** A section in the catalogue. */
export const Section = SectionFields.extend({ id: Id, sessionId: Id })
export type Section = z.infer<typeof Section>

/** Of one session: more than a song has. */
export const MAX_SECTIONS = 2000
