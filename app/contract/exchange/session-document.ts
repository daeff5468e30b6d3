// The document of an archived session, as far as a restore depends on it.

import { z } from 'zod'

export const SESSION_FORMAT = 'takeloft-session'
export const SESSION_VERSION = 1

/** What every version of the document has; the rest is for readers. */
export const SessionDocument = z.looseObject({
  format: z.literal(SESSION_FORMAT),
  version: z.int().positive(),
  uuid: z.string(),
})
export type SessionDocument = z.infer<typeof SessionDocument>
