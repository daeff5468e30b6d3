// Failures of a folder that is being filled name it by the name that it was to get: nobody has asked for the hidden one.

import { Failure } from '../contract/failure.ts'

const HIDDEN_PART = /[/\\]\.takeloft-[0-9a-f]{24}(?=[/\\]|$)/

/**
 * @param error of creating or filling a folder (createNewFolder)
 * @param target absolute path that the folder was to get
 * @returns a Failure that names `target` instead of the unfinished folder, in its sentence and its details; every other
 *   error unchanged
 */
export function namingAskedFor(error: unknown, target: string): unknown {
  const { path } = error instanceof Failure ? error.details : {}
  if (!(error instanceof Failure) || typeof path !== 'string') return error
  const hidden = HIDDEN_PART.exec(path)
  if (hidden === null) return error
  const unfinished = path.slice(0, hidden.index + hidden[0].length)
  return new Failure(
    error.code,
    error.message.replaceAll(unfinished, target),
    { ...error.details, path: target + path.slice(unfinished.length) },
    error,
  )
}
