// The failure for an id that is not in the catalogue.

import { Failure } from '../../app/contract/failure.ts'

/**
 * The row, which must exist.
 * @param what kind of entry, such as 'take' or 'chain version'
 * @throws Failure `not-found`
 */
export function found<T>(row: T | undefined, what: string, id: number): T {
  if (row !== undefined) return row
  throw new Failure('not-found', `There is no ${what} with the id ${id} in the catalogue.`, { what, id })
}
