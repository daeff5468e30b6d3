// Trim: level into the chain, and polarity.

import { gainFromDb } from '../maths/decibels.ts'
import type { Stage, StageLayout } from '../stage.ts'
import type { TrimSettings } from './settings.ts'

/** Scales every lane alike; at 0 dB without inversion the samples stay bit-identical. */
export function createTrim(settings: TrimSettings, _layout: StageLayout): Stage {
  const gain = gainFromDb(settings.gainDb) * (settings.invertPolarity ? -1 : 1)
  return {
    latencySamples: 0,
    memory: [],
    reductionDb: 0,
    process(lanes, frames) {
      if (gain === 1) return
      for (const channels of lanes) {
        for (const samples of channels) {
          for (let i = 0; i < frames; i++) samples[i] *= gain
        }
      }
    },
  }
}
