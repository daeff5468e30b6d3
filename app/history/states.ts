// Values that two computers may both have changed: all that are known, of which the newest is valid.

import { canonicalJson } from './canonical-json.ts'

/** When and on which computer values were set; `machine` is empty for those of the making. */
export interface Stamp {
  readonly at: string
  readonly machine: string
}

/** Values with their stamp, and the stamps of those that they were made from. */
export interface State<Values> extends Stamp {
  readonly parents: Stamp[]
  readonly values: Values
}

/** Before zero if `a` is older: by time, then by machine, then by content, so that the order is total. */
function compareStates<V>(a: State<V>, b: State<V>): number {
  return (
    Date.parse(a.at) - Date.parse(b.at) ||
    compareText(a.machine, b.machine) ||
    compareText(canonicalJson(a), canonicalJson(b))
  )
}

/** The valid state. @throws RangeError for an empty list */
export function newestState<V>(states: readonly State<V>[]): State<V> {
  const [first, ...others] = states
  if (first === undefined) throw new RangeError('no states')
  return others.reduce((a, b) => (compareStates(a, b) < 0 ? b : a), first)
}

/** The states of both lists, each once, oldest first. */
export function joinStates<V>(a: readonly State<V>[], b: readonly State<V>[]): State<V>[] {
  const all = new Map([...a, ...b].map((state) => [canonicalJson(state), state]))
  return [...all.values()].sort(compareStates)
}

/** By UTF-16 units, as RFC 8785 orders names. */
export const compareText = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0)
