// An expected failure: something from outside that cannot be used, or an act that
// could not be done. Mistakes in our own code are ordinary errors and stay that way.

import { z } from 'zod'

export const FailureCode = z.enum([
  'not-readable',
  'not-audio',
  'not-supported',
  'damaged',
  'empty',
  'not-finite',
  'not-found',
  'vanished',
  'changed',
  'not-writable',
  'disk-full',
  'invalid-input',
  'newer-version',
  'unknown-stage',
  'conflict',
  'cancelled',
  'not-enough-material',
  'catalogue-damaged',
  'catalogue-busy',
  'unexpected',
])
export type FailureCode = z.infer<typeof FailureCode>

/** What crosses a border when an act fails. */
export const FailureData = z.object({
  code: FailureCode,
  message: z.string(),
  details: z.record(z.string(), z.union([z.string(), z.number(), z.boolean(), z.null()])),
})
export type FailureData = z.infer<typeof FailureData>

export type FailureDetails = FailureData['details']

/**
 * A typed failure. The message is one sentence for the engineer at the desk: what
 * went wrong, where, and what to do about it.
 */
export class Failure extends Error {
  readonly code: FailureCode
  readonly details: FailureDetails

  constructor(code: FailureCode, message: string, details: FailureDetails = {}, cause?: unknown) {
    super(message, cause === undefined ? undefined : { cause })
    this.name = 'Failure'
    this.code = code
    this.details = details
  }

  toData(): FailureData {
    return { code: this.code, message: this.message, details: this.details }
  }

  static fromData(data: FailureData): Failure {
    return new Failure(data.code, data.message, data.details)
  }
}

/** Any thrown thing as data that can always be cloned; what is not a Failure becomes 'unexpected'. */
export function failureDataOf(error: unknown): FailureData {
  if (error instanceof Failure) return error.toData()
  const message = error instanceof Error ? error.message : String(error)
  return { code: 'unexpected', message: `Something went wrong inside Takeloft: ${message}`, details: {} }
}
