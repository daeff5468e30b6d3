// Which values were made from which, so that what one computer changed is told from what two changed.

import { canonicalJson } from './canonical-json.ts'
import { compareText, newestState, type Stamp, type State } from './states.ts'

export const isSame = (a: unknown, b: unknown): boolean => canonicalJson(a) === canonicalJson(b)

export const isSameStamp = (a: Stamp, b: Stamp): boolean => a.at === b.at && a.machine === b.machine

export const keyOf = ({ at, machine }: Stamp): string => `${at} ${machine}`

/** How the states of one entity follow from one another. */
export class Lineage<V> {
  /** States that no other was made from; at least one. What was changed and changed back is none of its own. */
  readonly heads: readonly State<V>[]
  readonly #byStamp: ReadonlyMap<string, readonly State<V>[]>
  /** The state before each on the same computer, with the same parents: nothing was exchanged between them. */
  readonly #before = new Map<State<V>, State<V>>()

  /** @param states at least one */
  constructor(states: readonly State<V>[]) {
    this.#byStamp = Map.groupBy(states, keyOf)
    const lines = Map.groupBy(states, ({ machine, parents }) => canonicalJson({ machine, parents }))
    for (const line of lines.values()) {
      const inOrder = line.toSorted((a, b) => Date.parse(a.at) - Date.parse(b.at) || compareText(a.at, b.at))
      for (const [k, state] of inOrder.entries()) {
        const next = inOrder[k + 1]
        if (next !== undefined && !isSameStamp(next, state)) this.#before.set(next, state)
      }
    }
    const distinct = states.filter((state) => this.#origin(state) === state)
    const earlier = new Set(distinct.flatMap((state) => this.#madeFrom(state)))
    const latest = Math.max(...distinct.map(({ at }) => Date.parse(at)))
    const heads = distinct.filter(
      (state) => !earlier.has(state) && !(state.machine === '' && Date.parse(state.at) < latest),
    )
    // A spoiled file may have states that were made from one another.
    this.heads = heads.length > 0 ? heads : [newestState(states)]
  }

  /** Whether a state is, or was made from, another one. Values of the making are before all that are later. */
  isMadeFrom(state: State<V>, other: State<V>): boolean {
    const origin = this.#origin(other)
    if (origin.machine === '' && Date.parse(origin.at) < Date.parse(state.at)) return true
    return this.#past(state).some((one) => isSameStamp(one, origin))
  }

  /** As isMadeFrom; also where the same values were set on both, and the state was made from the other's. */
  holds(state: State<V>, other: State<V>): boolean {
    if (this.isMadeFrom(state, other)) return true
    return this.#past(state).some((one) => isSame(one.values, other.values) && !this.isMadeFrom(other, one))
  }

  /** The states that both were made from, without those that one of them was made from. */
  nearestCommon(a: State<V>, b: State<V>): State<V>[] {
    const ofB = new Set(this.#past(b))
    const common = this.#past(a).filter((state) => ofB.has(state))
    const earlier = new Set(common.flatMap((state) => this.#madeFrom(state)))
    return common.filter((state) => !earlier.has(state))
  }

  /** What a state was made from, as far as it is known. */
  #madeFrom(state: State<V>): State<V>[] {
    const before = this.#before.get(state)
    const parents = state.parents.flatMap((parent) => this.#byStamp.get(keyOf(parent)) ?? [])
    return [...(before === undefined ? [] : [before]), ...parents].map((one) => this.#origin(one))
  }

  /** The first of states that followed one another with the same values. */
  #origin(state: State<V>): State<V> {
    let origin = state
    for (;;) {
      const [parent, other] = origin.parents.flatMap((one) => this.#byStamp.get(keyOf(one)) ?? [])
      const before = this.#before.get(origin) ?? (other === undefined ? parent : undefined)
      const isRepeated =
        before !== undefined &&
        Date.parse(before.at) < Date.parse(origin.at) &&
        isSame(before.values, origin.values)
      if (!isRepeated) return origin
      origin = before
    }
  }

  /** A state with all that it was made from. */
  #past(state: State<V>): State<V>[] {
    const past = new Set([this.#origin(state)])
    // The set grows while it is walked.
    for (const one of past) for (const earlier of this.#madeFrom(one)) past.add(earlier)
    return [...past]
  }
}

/** The state that is valid where nothing was set otherwise: the newest that no other was made from. */
export const validState = <V>(states: readonly State<V>[]): State<V> => newestState(new Lineage(states).heads)
