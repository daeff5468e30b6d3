// Chooses the stages of a chain that a second thread takes over, so that both threads have about the
// same work: stages in the middle, because the first thread reads before them and writes after them.
// The choice affects only the time, never the samples.

import type { StageSetup } from '../../contract/render-plan.ts'
import type { StageLayout } from '../../dsp/stage.ts'
import { designDrive } from '../../dsp/stages/drive-design.ts'

/** Stages from `from` up to but not including `to`; none where they are equal. */
interface Share {
  readonly from: number
  readonly to: number
}

/** A share that costs less than this is not worth handing over; ns per frame. */
const MIN_NS = 10

/** Approximate cost of a stage per channel and sample in ns; only the proportions matter. */
interface Cost {
  readonly leaderNs: number
  readonly followerNs: number
}

const evenly = (ns: number): Cost => ({ leaderNs: ns, followerNs: ns })

function costOf(setup: StageSetup, sampleRateHz: number): Cost {
  switch (setup.kind) {
    case 'trim':
      return evenly(0.3)
    case 'low-cut':
      return evenly(2)
    case 'mic-correction':
    case 'tone':
      return evenly(0.5 + 0.8 * setup.settings.bands.length)
    case 'ceiling':
      return { leaderNs: 3, followerNs: 0.7 }
    case 'expander':
      return { leaderNs: 9, followerNs: 1.5 }
    case 'opto':
      return { leaderNs: 15, followerNs: 0.5 }
    case 'de-ess':
      return { leaderNs: 10.5, followerNs: 2.5 }
    case 'drive': {
      if (setup.settings.mixPercent === 0) return evenly(0.3)
      const { factor } = designDrive(setup.settings, sampleRateHz)
      return { leaderNs: 9 * factor, followerNs: 7 * factor }
    }
  }
}

/**
 * The share that leaves the busier thread the least to do.
 * @param besideNs cost of the first thread's work outside the chain, ns per frame
 */
export function shareOf(setups: readonly StageSetup[], layout: StageLayout, besideNs: number): Share {
  const [leaderChannels, ...followers] = layout.laneChannels
  const followerChannels = followers.reduce((sum, channels) => sum + channels, 0)
  const costs = setups.map((setup) => {
    const { leaderNs, followerNs } = costOf(setup, layout.sampleRateHz)
    return leaderNs * leaderChannels + followerNs * followerChannels
  })
  const total = costs.reduce((sum, cost) => sum + cost, besideNs)
  let best: Share = { from: setups.length, to: setups.length }
  let bestNs = total
  for (let from = 0; from < setups.length; from++) {
    let shared = 0
    for (let to = from + 1; to <= setups.length; to++) {
      shared += costs[to - 1]
      const busierNs = Math.max(shared, total - shared)
      if (shared < MIN_NS || busierNs >= bestNs) continue
      best = { from, to }
      bestNs = busierNs
    }
  }
  return best
}
