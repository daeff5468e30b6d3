// What is usual of a voice: the mean of a measure over earlier takes, and how far from it
// a take may lie. Two or three takes tell little of a spread, so theirs is weighed with
// one expected beforehand, as if that came from some takes more (ours).

/** Mean and spread of one measure over earlier takes, in the measure's unit. */
export interface UsualSpread {
  readonly takes: number
  readonly mean: number
  /** Standard deviation. */
  readonly spread: number
  /** Further than this from the mean is unusual: 2.5 standard deviations of one more take. */
  readonly limit: number
}

const EXPECTED_WEIGHT = 3
const DEVIATIONS = 2.5

/** With fewer takes no spread is given. */
export const FEWEST_EARLIER_TAKES = 2

/** @param expectedSpread standard deviation to be expected of such a measure. null for fewer than two values */
export function usualSpreadOf(values: readonly number[], expectedSpread: number): UsualSpread | null {
  const takes = values.length
  if (takes < FEWEST_EARLIER_TAKES) return null
  const mean = values.reduce((sum, value) => sum + value, 0) / takes
  const squares = values.reduce((sum, value) => sum + (value - mean) ** 2, 0)
  const spread = Math.sqrt((EXPECTED_WEIGHT * expectedSpread ** 2 + squares) / (EXPECTED_WEIGHT + takes - 1))
  return { takes, mean, spread, limit: DEVIATIONS * spread * Math.sqrt(1 + 1 / takes) }
}
