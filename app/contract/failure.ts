// An expected failure: something from outside that cannot be used, or an act that
// could not be done. Internal errors are ordinary errors and stay that way.
// Without zod, so that a thread that checks no data need not load it: the schema of what
// crosses a border is failure-data.ts.

/** What a failure is about, for code that acts on it; the sentence is for people. */
export const FAILURE_CODES = [
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
  'catalogue-gone',
  'unexpected',
] as const
export type FailureCode = (typeof FAILURE_CODES)[number]

/** Data about a failure: paths, ids, figures. */
export type FailureDetails = Record<string, string | number | boolean | null>

/** What crosses a border when an act fails. */
export interface FailureData {
  code: FailureCode
  message: string
  details: FailureDetails
}

/**
 * A typed failure. The message is one sentence for the user: what
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

/** The failure that a cancelled call ends in. */
export const cancelledFailure = (): Failure => new Failure('cancelled', 'Cancelled.')

/** Any thrown thing as data that can always be cloned; anything but a Failure becomes 'unexpected'. */
export function failureDataOf(error: unknown): FailureData {
  if (error instanceof Failure) return error.toData()
  const message = error instanceof Error ? error.message : String(error)
  return { code: 'unexpected', message: `Something went wrong inside Takeloft: ${message}`, details: {} }
}
