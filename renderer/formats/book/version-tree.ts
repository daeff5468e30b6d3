// Lays out the versions of a chain as a tree: one row a version, newest first, with a column for each branch.

interface TreeVersion {
  readonly id: number
  readonly parentIds: readonly number[]
}

/** A version in its row. */
export interface TreeRow<V> {
  readonly version: V
  readonly column: number
  /** Lines to the rows of its parents. */
  readonly parents: readonly { readonly row: number; readonly column: number }[]
}

/**
 * A parent continues in the column of its newest child; other children have columns of their own. Parents that are
 * not among the versions are left out.
 * @param versions parents before their children
 */
export function layTree<V extends TreeVersion>(versions: readonly V[]): readonly TreeRow<V>[] {
  const newestFirst = versions.toReversed()
  const rowOf = new Map(newestFirst.map(({ id }, row) => [id, row]))
  const columnOf = new Map<number, number>()
  // The version that each column leads to; null where a column is free.
  const leadsTo: (number | null)[] = []
  const takeColumn = (id: number): number => {
    const free = leadsTo.indexOf(null)
    const column = free === -1 ? leadsTo.length : free
    leadsTo[column] = id
    return column
  }
  for (const { id, parentIds } of newestFirst) {
    const reserved = leadsTo.indexOf(id)
    const column = reserved === -1 ? takeColumn(id) : reserved
    columnOf.set(id, column)
    // Other children lead here as well, and end here.
    for (const [i, target] of leadsTo.entries()) if (target === id) leadsTo[i] = null
    const [first, ...others] = parentIds.filter((parent) => rowOf.has(parent))
    if (first !== undefined) leadsTo[column] = first
    for (const other of others) if (!leadsTo.includes(other)) takeColumn(other)
  }
  return newestFirst.map((version) => ({
    version,
    column: columnOf.get(version.id) ?? 0,
    parents: version.parentIds.flatMap((id) => {
      const row = rowOf.get(id)
      return row === undefined ? [] : { row, column: columnOf.get(id) ?? 0 }
    }),
  }))
}

/** Versions that no other was made from, newest first: more than one where a chain was edited on two computers. */
export function newestEnds<V extends TreeVersion>(versions: readonly V[]): readonly V[] {
  const parents = new Set(versions.flatMap(({ parentIds }) => parentIds))
  return versions.filter(({ id }) => !parents.has(id)).toReversed()
}
