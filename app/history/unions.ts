// States that unite what two computers changed apart, where the two changes do not touch the same. A union follows
// from the states that it unites, so that every computer makes the same.

import { hashOfValue } from './canonical-json.ts'
import { isSame, isSameStamp, keyOf, Lineage } from './lineage.ts'
import { joinStates, type State } from './states.ts'

/** What two made of the same values, united; null where both changed the same. */
export type Unite<V> = (base: V, a: V, b: V) => V | null

/**
 * The states of which one is valid: those that were made by people, the unions that people went on from, and unions of
 * their heads. What was united when fewer states were known is left out, so that the order in which they came does not
 * matter.
 * @param states at least one
 * @param made the state of the making, which not every history has
 */
export function withUnions<V>(states: readonly State<V>[], made: State<V>, unite: Unite<V>): State<V>[] {
  const all = states.some((state) => isSameStamp(state, made)) ? states : [made, ...states]
  const people = all.filter((state) => !isUnion(state))
  const unions = new Map(all.filter(isUnion).map((state) => [keyOf(state), state]))
  const used = new Set<State<V>>()
  // The list grows while it is walked.
  const reached: State<V>[] = [...people]
  for (const { parents } of reached) {
    for (const parent of parents) {
      const union = unions.get(keyOf(parent))
      if (union === undefined || used.has(union)) continue
      used.add(union)
      reached.push(union)
    }
  }
  let live = joinStates(people, [...used])
  const heads = joinStates(new Lineage(live).heads, [])
  const apart: State<V>[] = []
  for (const head of heads) {
    const lineage = new Lineage(live)
    let united: State<V> | null = null
    for (const [k, other] of apart.entries()) {
      united = unionOf(lineage, other, head, unite)
      if (united === null) continue
      apart[k] = united
      live = joinStates(live, [united])
      break
    }
    if (united === null) apart.push(head)
  }
  return all === states ? live : live.filter((state) => state !== made)
}

/** How often what two were made from has itself to be united first; a bound for spoiled files. */
const MOST_DEPTH = 4

/** Null where both changed the same, or where it is not known what they were made from. */
function unionOf<V>(
  lineage: Lineage<V>,
  a: State<V>,
  b: State<V>,
  unite: Unite<V>,
  depth = MOST_DEPTH,
): State<V> | null {
  const [first, ...others] = joinStates(lineage.nearestCommon(a, b), [])
  let base: State<V> | null = first ?? null
  for (const other of others) {
    if (base === null || isSame(base.values, other.values)) continue
    base = depth === 0 ? null : unionOf(lineage, base, other, unite, depth - 1)
  }
  if (base === null) return null
  const values = unite(base.values, a.values, b.values)
  if (values === null) return null
  const at = Date.parse(a.at) > Date.parse(b.at) ? a.at : b.at
  const parents = [a, b].map(({ at: when, machine }) => ({ at: when, machine }))
  return { at, machine: unionId([a, b]), parents, values }
}

/** In place of a computer: a UUID version 8 (RFC 9562, 5.8) from the hash of what is united. */
function unionId(united: readonly State<unknown>[]): string {
  const hex = hashOfValue(united)
  const variant = ((Number.parseInt(hex[16]!, 16) & 0x3) | 0x8).toString(16)
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-8${hex.slice(13, 16)}-${variant}${hex.slice(17, 20)}-${hex.slice(20, 32)}`
}

const isUnion = ({ machine, parents }: State<unknown>): boolean => machine[14] === '8' && parents.length === 2
