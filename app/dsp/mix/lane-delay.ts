// Delays every channel of every lane by a whole number of samples, in place. Stages
// with look-ahead delay their sound by it.

import type { Channels } from '../stage.ts'

interface LaneDelay {
  /** One ring per channel; its last element is the position in it. */
  readonly memory: readonly Float64Array[]
  process(lanes: readonly Channels[], frames: number): void
}

/** @param delaySamples 0 or more */
export function createLaneDelay(laneChannels: readonly number[], delaySamples: number): LaneDelay {
  const rings = laneChannels.map((channels) =>
    Array.from({ length: channels }, () => new Float64Array(delaySamples + 1)),
  )
  return {
    memory: rings.flat(),
    process(lanes, frames) {
      if (delaySamples === 0) return
      for (let lane = 0; lane < rings.length; lane++) {
        for (let channel = 0; channel < rings[lane].length; channel++) {
          delayInPlace(lanes[lane][channel], rings[lane][channel], delaySamples, frames)
        }
      }
    },
  }
}

function delayInPlace(samples: Float64Array, ring: Float64Array, delaySamples: number, frames: number): void {
  // The position is stored as a double, which indexes slowly; | 0 makes it an integer.
  let at = ring[delaySamples] | 0
  for (let i = 0; i < frames; i++) {
    const late = ring[at]
    ring[at] = samples[i]
    samples[i] = late
    at++
    if (at === delaySamples) at = 0
  }
  ring[delaySamples] = at
}
