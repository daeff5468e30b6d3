// What the operating system's refusals mean to the engineer at the desk: each error
// number of reading and of writing becomes a Failure with a sentence and a code.

import { dirname } from 'node:path'
import { Failure } from '../contract/failure.ts'

/** The system's code of an error, such as ENOENT. */
export function errorCode(error: unknown): string {
  return error instanceof Error && 'code' in error && typeof error.code === 'string' ? error.code : 'unknown'
}

/** The Failure for an error met while reading `path`. A Failure passes through as it is. */
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
        `${path} may not be read by this user; give it read permission.`,
        details,
        error,
      )
    case 'ENAMETOOLONG':
      return new Failure(
        'invalid-input',
        `There can be no file at ${path}, because its name or its path is too long; check the name.`,
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

/** The Failure for a name that is taken: nothing that exists is replaced. */
export function existsFailure(path: string, cause?: unknown): Failure {
  return new Failure(
    'conflict',
    `${path} exists already and was left as it is; choose another name, or move it away first.`,
    { path },
    cause,
  )
}

/** The Failure for an error met while writing `path`. A Failure passes through as it is. */
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
        `The disk is full while writing ${path}; nothing half-written was left, free some space and try again.`,
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
        `${path} cannot be written because this user may not write in ${folder}; change its permission or choose another folder.`,
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
        `${path} has grown past what its disk allows for one file; choose a folder on another disk.`,
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
