// Opens what a planned layer reads: its take as a whole, or its line of passages.

import { channelsOfLayer, takesOfLayer } from '../../contract/passages/layer-takes.ts'
import type { PlannedPassage } from '../../contract/passages/passage.ts'
import type { PlannedLayer } from '../../contract/render-plan.ts'
import { convertedFrames } from '../../dsp/conversion/rate-conversion.ts'
import { createLayerFeed } from '../mixes/layer-feed.ts'
import type { TakeSource } from '../mixes/take-source.ts'
import { joinedUp } from './passage-line.ts'
import { createPassageSource } from './passage-source.ts'

/**
 * The feed of a layer.
 * @param openTake opens the take that the given layer has as its own; the caller closes it
 * @param isDry leaves out the stages
 */
export function feedOfLayer(
  layer: PlannedLayer,
  openTake: (layer: PlannedLayer) => TakeSource,
  sampleRateHz: number,
  isDry = false,
): ReturnType<typeof createLayerFeed> {
  const { passages, ...whole } = layer
  const { offsetSamples, gainDb } = layer
  const place = passages === undefined ? 0 : wholeTakeAt(passages.list, layer.take, sampleRateHz)
  if (passages === undefined || place !== null) {
    const stages = isDry ? [] : layer.stages
    const offset = offsetSamples + (place ?? 0)
    return createLayerFeed(openTake(whole), { ...whole, offsetSamples: offset, stages, sampleRateHz })
  }
  const takes = takesOfLayer(layer).map(({ take, stages }) => ({
    open: () => openTake({ ...whole, take, stages }),
    stages: isDry ? [] : stages,
  }))
  const source = createPassageSource(passages.list, takes, channelsOfLayer(layer), sampleRateHz)
  const feed = createLayerFeed(source, { offsetSamples, gainDb, stages: [], sampleRateHz })
  return { ...feed, memory: [...feed.memory, ...source.memory] }
}

/** Where the layer's own take lies if the passages leave it whole and as it is; null where they do not. */
function wholeTakeAt(
  passages: readonly PlannedPassage[],
  take: PlannedLayer['take'],
  sampleRateHz: number,
): number | null {
  const [one, ...others] = joinedUp(passages)
  if (one === undefined || others.length > 0 || one.take !== 0 || one.gainDb !== 0) return null
  if (one.sourceFrame !== 0 || one.fadeInFrames !== 0 || one.fadeOutFrames !== 0) return null
  return one.frames === convertedFrames(take.frames, take.sampleRateHz, sampleRateHz) ? one.atFrame : null
}
