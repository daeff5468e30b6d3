// Converts operating-system errors of reading and writing to Failures: a code for the program and
// a sentence for the user.

import { dirname } from 'node:path'
import { Failure } from '../contract/failure.ts'

/** The system's error code, such as ENOENT. */
export function errorCode(error: unknown): string {
  return error instanceof Error && 'code' in error && typeof error.code === 'string' ? error.code : 'unknown'
}

/** The Failure for an error while reading `path`. A Failure is returned unchanged. */
export function readFailure(error: unknown, path: string): Failure {
  if (error instanceof Failure) return error
  const code = errorCode(error)
  const details = { path, systemError: code }
  switch (code) {
    case 'ENOENT':
    case 'ENOTDIR':
      return new Failure(
        'not-found',
        `There is no file at ${path}; check the name, or connect the disk it is on.`,
        details,
        error,
      )
    case 'EACCES':
    case 'EPERM':
      return new Failure(
        'not-readable',
        `${path} cannot be read because this user has no permission; give this user read access to it.`,
        details,
        error,
      )
    case 'ENAMETOOLONG':
      return new Failure(
        'invalid-input',
        `${path} cannot be read because its name or path is too long; check the name.`,
        details,
        error,
      )
    case 'EISDIR':
      return new Failure('not-readable', `${path} is a folder; choose a file inside it.`, details, error)
    default:
      return new Failure(
        'not-readable',
        `${path} could not be read (${code}); check the disk and try again.`,
        details,
        error,
      )
  }
}

/** The Failure for a path that already exists; existing files are never replaced. */
export function existsFailure(path: string, cause?: unknown): Failure {
  return new Failure(
    'conflict',
    `${path} already exists and was left as it is; choose another name, or move it away first.`,
    { path },
    cause,
  )
}

/** The Failure for an error while writing `path`. A Failure is returned unchanged. */
export function writeFailure(error: unknown, path: string): Failure {
  if (error instanceof Failure) return error
  const code = errorCode(error)
  const details = { path, systemError: code }
  const folder = dirname(path)
  switch (code) {
    case 'ENOSPC':
    case 'EDQUOT':
      return new Failure(
        'disk-full',
        `${path} was not written because the disk is full, and no partial file was left; free some space and try again.`,
        details,
        error,
      )
    case 'ENOENT':
      return new Failure(
        'not-writable',
        `${path} cannot be written because there is no folder ${folder}; create it or choose another.`,
        details,
        error,
      )
    case 'ENOTDIR':
      return new Failure(
        'not-writable',
        `${path} cannot be written because a part of that path is a file, not a folder; choose another folder.`,
        details,
        error,
      )
    case 'EACCES':
    case 'EPERM':
      return new Failure(
        'not-writable',
        `${path} cannot be written because this user has no permission to write to ${folder}; change its permissions or choose another folder.`,
        details,
        error,
      )
    case 'EROFS':
      return new Failure(
        'not-writable',
        `${path} cannot be written because its disk is read-only; choose a folder on another disk.`,
        details,
        error,
      )
    case 'ENAMETOOLONG':
      return new Failure(
        'invalid-input',
        `${path} cannot be written because the path is too long for its disk; choose shorter names.`,
        details,
        error,
      )
    case 'EISDIR':
    case 'ENOTEMPTY':
    case 'EEXIST':
      return new Failure(
        'not-writable',
        `${path} cannot be written because a folder has that name; choose another name.`,
        details,
        error,
      )
    case 'EFBIG':
      return new Failure(
        'not-writable',
        `${path} cannot be written because it exceeds the file size limit of its disk; choose a folder on another disk.`,
        details,
        error,
      )
    default:
      return new Failure(
        'not-writable',
        `${path} could not be written (${code}); check the disk or choose another folder.`,
        details,
        error,
      )
  }
}
