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

/** What was to be done with the path of a system call that failed. */
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
  EACCES: 'give this user permission for it',
  EPERM: 'give this user permission for it',
  EROFS: 'its disk is read-only, so choose another',
  ENOENT: 'check that it is still there, and that its disk is connected',
  ENOTDIR: 'check that every folder on the way to it is a folder',
  ELOOP: 'a link on the way to it leads back to itself, so remove that link',
  ENOSPC: 'the disk is full, so free some space',
  EDQUOT: 'the disk is full, so free some space',
  ENAMETOOLONG: 'its name is too long, so choose a shorter one',
  EMFILE: 'too many files are open, so close other programs',
  ENFILE: 'too many files are open, so close other programs',
}

/** An error of the operating system that no code nearer to it has put into words; null for any other error. */
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
 * Any thrown thing as data that can always be cloned: a Failure as it is, an error of the operating system as
 * systemFailure says it, and anything else as 'unexpected'.
 */
export function failureDataOf(error: unknown): FailureData {
  const failure = error instanceof Failure ? error : systemFailure(error)
  if (failure !== null) return failure.toData()
  const message = error instanceof Error ? error.message : String(error)
  return { code: 'unexpected', message: `Something went wrong inside Takeloft: ${message}`, details: {} }
}
