// Values that both computers may have changed: the newest is valid, and the others are kept.

import type { Dated } from '../../../db/tables/identity/identities.ts'
import type { HistoryKind } from '../../contract/exchange/conflict.ts'
import { canonicalJson } from '../../history/canonical-json.ts'
import { joinStates, newestState, type State } from '../../history/states.ts'
import { type Merging, noteConflict } from './merging.ts'

/** The row that the values are of. */
interface Subject {
  readonly subject: Dated
  readonly id: number
  readonly kind: HistoryKind
  readonly name: string
  /** When the row was made; ISO 8601. */
  readonly madeAt: string
}

const isSame = (a: unknown, b: unknown): boolean => canonicalJson(a) === canonicalJson(b)
/** Values that only the other computer has changed since they came here, even if what it sends does not have them. */
function isUnchangedHere<V>({ ownMachines }: Merging, local: State<V>, newest: State<V>): boolean {
  if (local.machine === '') return Date.parse(local.at) < Date.parse(newest.at)
  return local.machine === newest.machine && !ownMachines.includes(local.machine)
}
const isIn = <V>(state: State<V>, states: readonly State<V>[]): boolean =>
  states.some((one) => isSame(one, state))

/** Dates the values of a new row, and keeps all that the history knows of it. */
export function adoptStates<V>(
  { catalogue: { identities }, now }: Merging,
  { subject, id }: Pick<Subject, 'subject' | 'id'>,
  states: readonly State<V>[],
): void {
  identities.setStamp(subject, id, newestState(states))
  for (const { values, ...of } of states) identities.keep(subject, id, { ...of, state: values }, now)
}

/**
 * Joins the values that the history knows with those here.
 * @param rule 'newest': the newest values become valid. 'ours': those here stay, unless the history's were made
 *   from them; for values that make sense only together
 * @param write makes values valid
 * @param describe what of the values differs from the others, in a few words, for a conflict
 */
export function mergeStates<V>(
  merging: Merging,
  row: Subject,
  here: V,
  theirs: readonly State<V>[],
  {
    rule,
    write,
    describe,
  }: { rule: 'newest' | 'ours'; write(values: V): void; describe(values: V, other: V): string },
): void {
  const { identities } = merging.catalogue
  const { subject, id, kind, name } = row
  const local: State<V> = {
    ...(identities.stampOf(subject, id) ?? { at: row.madeAt, machine: '' }),
    values: here,
  }
  const kept = identities.keptOf(subject, id).map(({ state, ...of }) => ({ ...of, values: state as V }))
  const known = joinStates([local], kept)
  const fresh = theirs.filter((state) => !isIn(state, known))
  if (fresh.length === 0) return
  const all = joinStates(known, theirs)
  const newest = newestState(all)
  const keepAll = (): void => {
    for (const { values, ...of } of all) identities.keep(subject, id, { ...of, state: values }, merging.now)
  }
  keepAll()
  const differ = (valid: V, other: V): void =>
    noteConflict(merging, rule === 'ours' ? 'settings' : 'value', kind, name, [
      describe(valid, other),
      describe(other, valid),
    ])
  if (isSame(newest, local)) {
    const other = newestState(fresh)
    const isOfBefore = other.machine === '' || merging.ownMachines.includes(other.machine)
    if (!isOfBefore && !isSame(other.values, here)) differ(here, other.values)
    return
  }
  if (isSame(newest.values, here)) {
    identities.setStamp(subject, id, newest)
    return
  }
  const wasMadeFromOurs = isIn(local, theirs) || isUnchangedHere(merging, local, newest)
  if (rule === 'ours' && !wasMadeFromOurs) {
    differ(here, newest.values)
    return
  }
  write(newest.values)
  identities.setStamp(subject, id, newest)
  merging.done.changed.push({ kind, name })
  if (!wasMadeFromOurs && local.machine !== '') differ(newest.values, here)
}
