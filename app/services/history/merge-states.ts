// Values that both computers may have changed: one state is valid, and the others are kept.

import type { Dated } from '../../../db/tables/identity/identities.ts'
import type { HistoryKind } from '../../contract/exchange/conflict.ts'
import { isSame, isSameStamp, Lineage, validState } from '../../history/lineage.ts'
import { joinStates, newestState, type State } from '../../history/states.ts'
import { knownStates } from './known-states.ts'
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

/** The states of which one becomes valid, of all that are known. */
type Live<V> = (states: State<V>[]) => State<V>[]

const isIn = <V>(state: State<V>, states: readonly State<V>[]): boolean =>
  states.some((one) => isSame(one, state))

/** Dates the values of a new row, and keeps all that the history knows of it. */
export function adoptStates<V>(
  { catalogue: { identities }, now }: Merging,
  { subject, id }: Pick<Subject, 'subject' | 'id'>,
  states: readonly State<V>[],
): void {
  identities.setStamp(subject, id, validState(states), undefined)
  for (const state of states) identities.keep(subject, id, state, now)
}

/**
 * Joins the values that the history knows with those here. Which become valid depends on all that are known and on
 * the last change in this catalogue, never on the order in which histories came. Where neither of two states was made
 * from the other, that is a conflict, told once.
 * @param rule 'newest': the newest values become valid. 'ours': the newest of those that were made from the last
 *   change here, or of all if nothing was changed here; for values that make sense only together
 * @param write makes values valid
 * @param live which of the states count; all of them where it is not given. Those that it adds are kept
 * @param describe what of the values differs from the others, in a few words, for a conflict
 */
export function mergeStates<V>(
  merging: Merging,
  { subject, id, kind, name, madeAt }: Subject,
  here: V,
  theirs: readonly State<V>[],
  {
    rule,
    write,
    describe,
    live = (states) => states,
  }: {
    rule: 'newest' | 'ours'
    write(values: V): void
    describe(values: V, other: V): string
    live?: Live<V>
  },
): void {
  const { identities } = merging.catalogue
  const { local, known } = knownStates(identities, subject, id, madeAt, here)
  const fresh = theirs.filter((state) => !isIn(state, known))
  if (fresh.length === 0) return
  const all = joinStates(known, theirs)
  const counting = live(all)
  for (const state of joinStates(all, counting)) identities.keep(subject, id, state, merging.now)
  const lineage = new Lineage(counting)
  const own = identities.ownChangeOf(subject, id)
  const lastHere = own && known.find((state) => isSameStamp(state, own))
  const ofOurs =
    rule === 'newest' || lastHere === undefined
      ? lineage.heads
      : lineage.heads.filter((head) => lineage.holds(head, lastHere))
  const valid = newestState(ofOurs.length > 0 ? ofOurs : [local])
  if (!isSame(valid.values, here)) {
    write(valid.values)
    merging.done.changed.push({ kind, name })
  }
  identities.setStamp(subject, id, valid, own)
  const isFollowed = lineage.holds(valid, local)
  const others = lineage.heads.filter((head) => isIn(head, fresh) || (!isFollowed && isSame(head, local)))
  for (const other of others) {
    if (isSame(other.values, valid.values) || lineage.holds(other, valid)) continue
    noteConflict(merging, rule === 'ours' ? 'settings' : 'value', kind, name, [
      describe(valid.values, other.values),
      describe(other.values, valid.values),
    ])
  }
}
