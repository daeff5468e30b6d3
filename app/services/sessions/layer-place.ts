// Where a layer lies in its session: its take as a whole, or from its first passage to its last.

import type { PlannedLayer } from '../../contract/render-plan.ts'
import { convertedFrames } from '../../dsp/conversion/rate-conversion.ts'

/** What of a layer decides its place. */
export type PlacedLayer = Pick<PlannedLayer, 'offsetSamples' | 'passages'> & {
  readonly take: Pick<PlannedLayer['take'], 'frames' | 'sampleRateHz'>
}

/** First session frame of a layer, and the one after its last. */
export function placeOfLayer(
  { offsetSamples, take, passages }: PlacedLayer,
  sampleRateHz: number,
): { readonly from: number; readonly to: number } {
  const frames = convertedFrames(take.frames, take.sampleRateHz, sampleRateHz)
  const { from, to } =
    passages === undefined
      ? { from: 0, to: frames }
      : passages.list.reduce(
          (span, { atFrame, frames: length }) => ({
            from: Math.min(span.from, atFrame),
            to: Math.max(span.to, atFrame + length),
          }),
          { from: Number.POSITIVE_INFINITY, to: Number.NEGATIVE_INFINITY },
        )
  return { from: offsetSamples + from, to: offsetSamples + to }
}
