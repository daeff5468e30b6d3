// What is usual for a voice from session to session: median and median absolute deviation, which one strange
// session does not move.

/** Median and spread of one figure over sessions, in the figure's unit. */
export interface UsualValue {
  readonly sessions: number
  readonly median: number
  /** 1.4826 times the median absolute deviation, at least the floor. */
  readonly spread: number
}

/** With fewer earlier sessions nothing is called unusual. */
const FEWEST_SESSIONS = 4
/** Makes the median absolute deviation of normal values their standard deviation (1 / 0.6745). */
const NORMAL = 1.4826
/** In spreads (Iglewicz and Hoaglin, How to Detect and Handle Outliers, ASQC 1993: 3.5). */
const LIMIT = 3.5

/** @throws RangeError for no values */
export function medianOf(values: readonly number[]): number {
  if (values.length === 0) throw new RangeError('no values have no median')
  const sorted = [...values].sort((a, b) => a - b)
  const half = Math.floor(sorted.length / 2)
  return sorted.length % 2 === 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2
}

/**
 * null for fewer than four sessions.
 * @param floor the deviation that is normal from session to session, in the unit of the values
 */
export function usualValueOf(earlier: readonly number[], floor: number): UsualValue | null {
  if (earlier.length < FEWEST_SESSIONS) return null
  const median = medianOf(earlier)
  const deviation = medianOf(earlier.map((value) => Math.abs(value - median)))
  return { sessions: earlier.length, median, spread: Math.max(NORMAL * deviation, floor) }
}

/** Whether a value is more than 3.5 spreads from the median. */
export const isUnusual = (value: number, usual: UsualValue): boolean =>
  Math.abs(value - usual.median) > LIMIT * usual.spread
