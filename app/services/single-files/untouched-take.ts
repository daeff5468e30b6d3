// A take that is only read while something new is made of it.

import { existsSync, realpathSync } from 'node:fs'
import { Failure } from '../../contract/failure.ts'
import { identityOf, isUntouched } from '../../files/file-identity.ts'
import { refuseExisting } from '../../files/new-file.ts'

/** @throws Failure 'invalid-input' when `to` is the take itself, 'conflict' when it exists */
export function refuseResultPath(from: string, to: string): void {
  refuseTakeItself(from, to, 'the take')
  refuseExisting(to)
}

/**
 * @param name what to call the take in the failure
 * @throws Failure 'invalid-input' when `to` is the take `from`
 */
export function refuseTakeItself(from: string, to: string, name: string): void {
  if (!existsSync(to) || !existsSync(from) || realpathSync(to) !== realpathSync(from)) return
  throw new Failure(
    'invalid-input',
    `${to} is ${name} itself, and takes are never written to; name another file.`,
    { to },
  )
}

/**
 * @param doing participle of what is done with the take
 * @returns a function that throws the Failure 'changed' when `from` was written to since
 */
export function watchUntouched(from: string, doing: string): () => void {
  const identity = identityOf(from)
  return () => {
    if (isUntouched(identityOf(from), identity)) return
    throw new Failure(
      'changed',
      `${from} was written to while it was being ${doing}, so nothing was made of it; see what writes to it, then try again.`,
      { path: from },
    )
  }
}
