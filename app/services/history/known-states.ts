// All values of a row that the catalogue knows: those that are valid, and those that were exchanged.

import type { Dated, IdentityQueries } from '../../../db/tables/identity/identities.ts'
import { joinStates, type State } from '../../history/states.ts'

interface KnownStates<V> {
  /** The valid state. */
  readonly local: State<V>
  /** With the valid one, oldest first. */
  readonly known: State<V>[]
}

/**
 * The values of a row with their stamps.
 * @param madeAt when the row was made
 */
export function knownStates<V>(
  identities: IdentityQueries,
  subject: Dated,
  id: number,
  madeAt: string,
  values: V,
): KnownStates<V> {
  const stamp = identities.stampOf(subject, id) ?? { at: madeAt, machine: '', parents: [] }
  const local = { ...stamp, values }
  return { local, known: joinStates([local], identities.keptOf(subject, id) as State<V>[]) }
}
