// The figures a noisy series is told by: its middle, its spread, and how far its tail goes.

export interface Spread {
  readonly median: number
  readonly least: number
  readonly most: number
}

/** @throws RangeError for no values */
export function spreadOf(values: readonly number[]): Spread {
  if (values.length === 0) throw new RangeError('no values to take the middle of')
  const sorted = values.toSorted((a, b) => a - b)
  const middle = sorted.length >> 1
  return {
    median: sorted.length % 2 === 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2,
    least: sorted[0],
    most: sorted[sorted.length - 1],
  }
}

/** The value that a share of them lies under; the greatest for a share of 1. */
export function quantileOf(values: readonly number[], share: number): number {
  const sorted = values.toSorted((a, b) => a - b)
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))]
}

/** Run by run, so that whatever slowed both of a pair cancels. */
export function ratiosOf(ours: readonly number[], theirs: readonly number[]): number[] {
  return ours.map((one, k) => one / theirs[k])
}
