// An expected failure: unusable input from outside, or an operation that could not be completed.
// Bugs stay ordinary Errors. Does not use zod, so that threads that validate nothing need not
// load it; the schema of FailureData is in wire/failure-data.ts.

/** Codes for program logic; the message is for people. */
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

/** Data about a failure: paths, ids, numbers. */
export type FailureDetails = Record<string, string | number | boolean | null>

/** A failure as it is sent to another thread, process or page. */
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

/** The failure of a cancelled call. */
export const cancelledFailure = (): Failure => new Failure('cancelled', 'Cancelled.')

/** Participle for each system call, for the sentence 'PATH could not be …'. */
const DONE_BY_SYSCALL: Readonly<Record<string, string>> = {
  open: 'opened',
  read: 'read',
  scandir: 'listed',
  opendir: 'listed',
  stat: 'examined',
  lstat: 'examined',
  access: 'examined',
  realpath: 'examined',
  write: 'written',
  fsync: 'written',
  ftruncate: 'written',
  mkdir: 'created',
  mkdtemp: 'created',
  rename: 'renamed',
  link: 'put in place',
  copyfile: 'copied',
  unlink: 'removed',
  rmdir: 'removed',
  rm: 'removed',
  chmod: 'changed',
}
const READING = ['opened', 'read', 'listed', 'examined']

const REMEDY_BY_CODE: Readonly<Record<string, string>> = {
  EACCES: 'give this user access to it',
  EPERM: 'give this user access to it',
  EROFS: 'its disk is read-only, so choose another',
  ENOENT: 'check that it is still there, and that its disk is connected',
  ENOTDIR: 'one of its parent folders is a file, so check the path',
  ELOOP: 'a link in its path points back to itself, so remove that link',
  ENOSPC: 'the disk is full, so free some space',
  EDQUOT: 'the disk is full, so free some space',
  ENAMETOOLONG: 'its name is too long, so choose a shorter one',
  EMFILE: 'too many files are open, so close other programs',
  ENFILE: 'too many files are open, so close other programs',
}

/** Failure for an operating-system error that was not handled closer to its source; null for any other error. */
export function systemFailure(error: unknown): Failure | null {
  if (!(error instanceof Error)) return null
  const { code, syscall, path } = error as { code?: unknown; syscall?: unknown; path?: unknown }
  if (typeof code !== 'string' || typeof syscall !== 'string' || typeof path !== 'string') return null
  const done = DONE_BY_SYSCALL[syscall] ?? 'used'
  const remedy = REMEDY_BY_CODE[code] ?? 'check the disk'
  return new Failure(
    READING.includes(done) ? 'not-readable' : 'not-writable',
    `${path} could not be ${done} (${code}); ${remedy}, and try again.`,
    { path, systemError: code },
    error,
  )
}

/**
 * Converts anything thrown to structured-cloneable data: a Failure as it is, an operating-system error by
 * systemFailure, and anything else as 'unexpected'.
 */
export function failureDataOf(error: unknown): FailureData {
  const failure = error instanceof Failure ? error : systemFailure(error)
  if (failure !== null) return failure.toData()
  const message = error instanceof Error ? error.message : String(error)
  return { code: 'unexpected', message: `Something went wrong inside Takeloft: ${message}`, details: {} }
}
