// Progress of a delivery, whose parts take different times.

/** Parts by their share of the time, in any unit; 0 for one that is not done. */
export type PartWeights = Readonly<Record<'takes' | 'stems' | 'aligned' | 'reference', number>>

/** Progress of the parts of one delivery. */
export type Parts = ReturnType<typeof createParts>

/** Share of the whole that comes before the parts, and behind them. */
const BEFORE = 0.05
const BEHIND = 0.01

/** @param report receives the fraction of the whole */
export function createParts(report: (fraction: number, doing: string) => void, weights: PartWeights) {
  const total = Object.values(weights).reduce((sum, weight) => sum + weight, 0) || 1
  const names = Object.keys(weights) as (keyof PartWeights)[]
  return {
    /** Receives the fraction of one part. */
    progressOf(part: keyof PartWeights, doing: string): (fraction: number) => void {
      const before = names.slice(0, names.indexOf(part)).reduce((sum, name) => sum + weights[name], 0)
      return (fraction) =>
        report(BEFORE + ((1 - BEFORE - BEHIND) * (before + weights[part] * fraction)) / total, doing)
    },
  }
}
