// A text that the page passes to its shell to save as a file.

import { z } from 'zod'
import type { FailureData } from './failure.ts'

/** A file that the window hands to the shell to save. */
export const FileToSave = z.object({
  /** Suggested file name without folders. */
  name: z
    .string()
    .min(1)
    .max(200)
    // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are exactly what is meant
    .regex(/^[^/\\\u0000-\u001f]+$/),
  text: z.string().max(16 * 1024 * 1024),
})
export type FileToSave = z.infer<typeof FileToSave>

/** Where it was saved, why it was not, or null when the user cancelled. */
export type SaveAnswer = { readonly savedAs: string } | { readonly failure: FailureData } | null
