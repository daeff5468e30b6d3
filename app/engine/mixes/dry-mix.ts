// The same layers without any stages, only gain, pan and offset, for comparison with the processed sound.

import type { PlannedLayer } from '../../contract/render-plan.ts'
import { BLOCK_FRAMES, type Channels } from '../../dsp/stage.ts'
import { feedOfLayer } from '../passages/feed-of-layer.ts'
import { addPanned, clearLane } from './lane-mixer.ts'
import type { Programme } from './programme.ts'
import type { TakeSource } from './take-source.ts'

/** @param gainsOf left and right gain of a layer in the mix */
export function createDryMix(
  sampleRateHz: number,
  layers: readonly PlannedLayer[],
  openTake: (layer: PlannedLayer) => TakeSource,
  gainsOf: (layer: PlannedLayer) => readonly [number, number],
): Programme {
  const sum: Channels = [new Float64Array(BLOCK_FRAMES), new Float64Array(BLOCK_FRAMES)]
  const feeds = layers.map((layer) => feedOfLayer(layer, openTake, sampleRateHz, true))
  const blocks = feeds.map((feed) =>
    Array.from({ length: feed.channels }, () => new Float64Array(BLOCK_FRAMES)),
  )
  const pans = layers.map(gainsOf)
  return {
    memory: feeds.flatMap((feed) => feed.memory),
    sum,
    begin(frame) {
      for (const feed of feeds) feed.begin(frame)
    },
    render(frames) {
      clearLane(sum, frames)
      for (let k = 0; k < feeds.length; k++) {
        feeds[k].fill(frames, blocks[k])
        addPanned(blocks[k], pans[k], sum, frames)
      }
    },
  }
}
