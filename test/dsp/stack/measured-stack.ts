// Stacks of plain signals for the tests of the check: each layer one channel with its pan.

import type { StackGram } from '../../../app/dsp/stack/gram.ts'
import { createGramMeter, type MeasuredGram } from '../../../app/dsp/stack/gram-meter.ts'
import type { FrameSpan, StackLayer } from '../../../app/dsp/stack/stack-layers.ts'

export const RATE = 48_000

export interface TestLayer {
  readonly samples: Float64Array
  readonly isLead?: boolean
  /** Left and right; 1 and 1 if left out. */
  readonly gains?: readonly [number, number]
}

export const layersOf = (layers: readonly TestLayer[]): StackLayer[] =>
  layers.map(({ isLead = false, gains: [left, right] = [1, 1] }, k) => ({
    id: k + 1,
    isLead,
    channels: [{ left, right }],
  }))

/** @param spans everything if left out */
export function gramOf(
  layers: readonly TestLayer[],
  spans?: readonly FrameSpan[],
  onSpan: (span: number, gram: StackGram) => void = () => {},
): MeasuredGram {
  const { length } = layers[0].samples
  const meter = createGramMeter(RATE, layersOf(layers), spans ?? [{ from: 0, to: length }], onSpan)
  for (let at = 0; at < length; at += 1000) {
    const frames = Math.min(1000, length - at)
    meter.add(
      layers.map(({ samples }) => samples.subarray(at, at + frames)),
      frames,
    )
  }
  return meter.finish()
}
