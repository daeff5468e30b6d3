// Whether the passages of a plan fit their takes, as a catalogue or manifest edited by hand may not.

import { takesOfLayer } from '../../contract/passages/layer-takes.ts'
import { misfitIn } from '../../contract/passages/passage.ts'
import type { RenderPlan } from '../../contract/render-plan.ts'
import { convertedFrames } from '../../dsp/conversion/rate-conversion.ts'

/** The first passage that its take does not have, or that would click, in a sentence without its end; null if all fit. */
export function misplacedPassage({ layers, sampleRateHz }: RenderPlan): string | null {
  for (const layer of layers) {
    if (layer.passages === undefined) continue
    const takeFrames = takesOfLayer(layer).map(({ take }) =>
      convertedFrames(take.frames, take.sampleRateHz, sampleRateHz),
    )
    const wrong = misfitIn(layer.passages.list, takeFrames, sampleRateHz)
    if (wrong !== null) return `of the layer "${layer.name}", ${wrong}`
  }
  return null
}
