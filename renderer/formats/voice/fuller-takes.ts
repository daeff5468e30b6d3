// Takes to offer when one has too little voice to analyse.

import type { Take } from '../../../app/contract/entities.ts'
import { ENOUGH_S, sungSeconds } from './finding-words.ts'

/** Keeps the list to one or two lines. */
const MAX_OFFERED = 6

/**
 * Takes with enough voice by their check, most voice first. The check counts phrases, and the analysis counts
 * voice inside them, so a take can pass the one and be refused by the other.
 * @param isRefused whether the analysis of a take was refused; such takes are not offered again
 */
export function fullerTakes(takes: readonly Take[], isRefused: (takeId: number) => boolean): Take[] {
  return takes
    .map((take) => ({ take, sungS: sungSeconds(take.facts.check) }))
    .filter(({ take, sungS }) => sungS >= ENOUGH_S && !isRefused(take.id))
    .sort((a, b) => b.sungS - a.sungS)
    .slice(0, MAX_OFFERED)
    .map(({ take }) => take)
}
