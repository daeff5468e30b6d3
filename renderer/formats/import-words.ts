// What an import did, in words.

import { countOf } from '../../app/words/numbers.ts'

/** '12 takes imported', or '12 of 40 were imported, then you cancelled'. */
export function importWords({
  taken,
  refused,
  notReached,
}: {
  readonly taken: number
  readonly refused: readonly unknown[]
  readonly notReached: number
}): string {
  if (notReached === 0) return `${countOf(taken, 'take')} imported`
  const files = taken + refused.length + notReached
  return `${taken === 0 ? 'None' : taken} of ${files} ${taken > 1 ? 'were' : 'was'} imported, then you cancelled`
}
