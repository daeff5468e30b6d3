// The usual value of a measure for a voice: its mean over earlier takes, and how far a take may
// deviate from it. Two or three takes say little about the spread, so theirs is combined with
// a prior, weighted as if it came from a few additional takes (our choice).

/** Mean and spread of one measure over earlier takes, in the measure's unit. */
export interface UsualSpread {
  readonly takes: number
  readonly mean: number
  /** Standard deviation. */
  readonly spread: number
  /** Larger deviations from the mean are unusual: 2.5 standard deviations of one more take. */
  readonly limit: number
}

const EXPECTED_WEIGHT = 3
const DEVIATIONS = 2.5

/** With fewer takes there is no spread. */
export const FEWEST_EARLIER_TAKES = 2

/** null for fewer than two values. @param expectedSpread prior standard deviation of the measure */
export function usualSpreadOf(values: readonly number[], expectedSpread: number): UsualSpread | null {
  const takes = values.length
  if (takes < FEWEST_EARLIER_TAKES) return null
  const mean = values.reduce((sum, value) => sum + value, 0) / takes
  const squares = values.reduce((sum, value) => sum + (value - mean) ** 2, 0)
  const spread = Math.sqrt((EXPECTED_WEIGHT * expectedSpread ** 2 + squares) / (EXPECTED_WEIGHT + takes - 1))
  return { takes, mean, spread, limit: DEVIATIONS * spread * Math.sqrt(1 + 1 / takes) }
}
