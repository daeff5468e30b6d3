// Which stages of a chain a second thread takes over, so that both have about the same to
// do: the stages in the middle, because the first thread reads before them and writes after.
// Only the time depends on the choice, no sample does.

import type { StageSetup } from '../contract/render-plan.ts'
import { driveNumbers } from '../dsp/stages/drive-numbers.ts'

/** Stages from `from` up to `to`; none where they are equal. */
export interface Share {
  readonly from: number
  readonly to: number
}

/** A share that costs less is not worth handing over, ns per channel and sample. */
const LEAST_NS = 10

/** About what a stage costs for each channel and sample, in ns; only the proportions matter. */
function costNs(setup: StageSetup, sampleRateHz: number): number {
  switch (setup.kind) {
    case 'trim':
      return 0.3
    case 'low-cut':
      return 2
    case 'mic-correction':
    case 'tone':
      return 1 + setup.settings.bands.length
    case 'ceiling':
      return 3
    case 'expander':
      return 7
    case 'opto':
      return 12
    case 'de-ess':
      return 10
    case 'drive':
      return setup.settings.mixPercent === 0 ? 0.3 : 7.5 * driveNumbers(setup.settings, sampleRateHz).factor
  }
}

/**
 * The share that leaves the busier thread the least to do.
 * @param besideNs what the first thread does beside the chain, for each channel and sample
 */
export function shareOf(setups: readonly StageSetup[], sampleRateHz: number, besideNs: number): Share {
  const costs = setups.map((setup) => costNs(setup, sampleRateHz))
  const total = costs.reduce((sum, cost) => sum + cost, besideNs)
  let best: Share = { from: setups.length, to: setups.length }
  let bestNs = total
  for (let from = 0; from < setups.length; from++) {
    let shared = 0
    for (let to = from + 1; to <= setups.length; to++) {
      shared += costs[to - 1]
      const busierNs = Math.max(shared, total - shared)
      if (shared < LEAST_NS || busierNs >= bestNs) continue
      best = { from, to }
      bestNs = busierNs
    }
  }
  return best
}
