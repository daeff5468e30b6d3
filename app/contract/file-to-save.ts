// A text that the window hands to its shell to be saved as a file.

import { z } from 'zod'
import type { FailureData } from './failure.ts'

export const FileToSave = z.object({
  /** Offered as its name, not as a path. */
  name: z
    .string()
    .min(1)
    .max(200)
    // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are exactly what is meant
    .regex(/^[^/\\\u0000-\u001f]+$/),
  text: z.string().max(16 * 1024 * 1024),
})
export type FileToSave = z.infer<typeof FileToSave>

/** Where it was saved, why it was not, or null where the user changed their mind. */
export type SaveAnswer = { readonly savedAs: string } | { readonly failure: FailureData } | null
