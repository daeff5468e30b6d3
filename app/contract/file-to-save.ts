// Text that the page passes to the shell to save as a file, because the shell shows the save dialog.

import { z } from 'zod'
import type { FailureData } from './failure.ts'

/** A file that the window hands to the shell to save. */
export const FileToSave = z.object({
  /** Suggested file name without folders. */
  name: z
    .string()
    .min(1)
    .max(200)
    // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are matched on purpose
    .regex(/^[^/\\\u0000-\u001f]+$/),
  text: z.string().max(16 * 1024 * 1024),
})
export type FileToSave = z.infer<typeof FileToSave>

/** The path it was saved to, why saving failed, or null when the user cancelled. */
export type SaveAnswer = { readonly savedAs: string } | { readonly failure: FailureData } | null
