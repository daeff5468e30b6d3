// The phrases of files, and which phrase of which file is which of the guide: the outcome of `phrases`.

import { z } from 'zod'

/** Number of a phrase in its file, from 1 in the order of time. */
const PhraseNumber = z.int().positive()

export const PhraseMap = z.object({
  /** The guide first. */
  files: z.array(
    z.object({
      file: z.string(),
      phrases: z.array(
        z.object({
          id: PhraseNumber,
          fromS: z.number().nonnegative(),
          toS: z.number().nonnegative(),
          /** BS.1770 over the phrase, gated at -10 LU inside it; null for digital silence. */
          loudnessLufs: z.number().nullable(),
        }),
      ),
    }),
  ),
  /** In the order of the guide; of a line that a file has twice, the later phrase first. */
  matches: z.array(
    z.object({
      file: z.string(),
      phrase: PhraseNumber,
      guidePhrase: PhraseNumber,
      /** Positive: later than the guide, both counted from the beginning of their file. */
      offsetMs: z.number(),
      /** 0 to 1. */
      confidence: z.number().min(0).max(1),
    }),
  ),
  /** Lines of the guide that a file does not have, or that could not be told. */
  missing: z.array(z.object({ file: z.string(), guidePhrase: PhraseNumber })),
  /** Phrases of a file that are no line of the guide. */
  extra: z.array(z.object({ file: z.string(), phrase: PhraseNumber })),
  /** Sentences about the files. */
  remarks: z.array(z.string()),
})
export type PhraseMap = z.infer<typeof PhraseMap>
