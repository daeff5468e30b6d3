// The schema of a failure's data, for the receiving end of a port.

import { z } from 'zod'
import { type FailureData as Data, FAILURE_CODES } from '../failure.ts'

/** A failure as plain data, for ports and threads. */
export const FailureData = z.object({
  code: z.enum(FAILURE_CODES),
  message: z.string(),
  details: z.record(z.string(), z.union([z.string(), z.number(), z.boolean(), z.null()])),
}) satisfies z.ZodType<Data>
