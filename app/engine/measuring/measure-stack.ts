// Meters the processed stack, as it is heard, from its first frame to its last.

import type { PlannedLayer, RenderPlan } from '../../contract/render-plan.ts'
import type { StackMeasurement } from '../../contract/stack-measurement.ts'
import { createStemMeter } from '../../dsp/meters/stem-meter.ts'
import { createMonoCheck } from '../../dsp/mix/mono-check.ts'
import { BLOCK_FRAMES } from '../../dsp/stage.ts'
import { createProcessedMix } from '../mixes/processed-mix.ts'
import type { TakeSource } from '../mixes/take-source.ts'

/**
 * Loudness, peaks and mono check of the processed stack, all groups with their gains.
 * @param onProgress receives the fraction done; throws to stop
 */
export function measureStack(
  plan: RenderPlan,
  openTake: (layer: PlannedLayer) => TakeSource,
  onProgress: (fraction: number) => void,
): StackMeasurement {
  const mix = createProcessedMix(plan, { kind: 'stack' }, openTake)
  const meter = createStemMeter({ sampleRateHz: plan.sampleRateHz, channels: 2 })
  const mono = createMonoCheck(plan.sampleRateHz)
  mix.begin(plan.startFrame)
  for (let done = 0; done < plan.frames; ) {
    const frames = Math.min(BLOCK_FRAMES, plan.frames - done)
    mix.render(frames)
    meter.add(mix.sum, frames)
    mono.add(mix.sum, frames)
    done += frames
    onProgress(done / plan.frames)
  }
  return { ...meter.facts(), mono: mono.facts() }
}
