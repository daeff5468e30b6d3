// Meters the processed stack, as it is heard, or a part of it.

import type { PlannedLayer, RenderPlan } from '../../contract/render-plan.ts'
import type { StackMeasurement } from '../../contract/stack-measurement.ts'
import { createStemMeter } from '../../dsp/meters/stem-meter.ts'
import { createMonoCheck } from '../../dsp/mix/mono-check.ts'
import { BLOCK_FRAMES, type Channels } from '../../dsp/stage.ts'
import { addLane } from '../mixes/lane-mixer.ts'
import { createProcessedMix } from '../mixes/processed-mix.ts'
import type { TakeSource } from '../mixes/take-source.ts'
import { createSoundReceiver, createSoundSender, type PassedSound } from './passed-sound.ts'

/**
 * Renders a plan block by block.
 * @param fromFrame session frame that no block reaches over
 * @param onProgress receives the fraction done; throws to stop
 */
function renderStack(
  plan: RenderPlan,
  fromFrame: number,
  openTake: (layer: PlannedLayer) => TakeSource,
  onProgress: (fraction: number) => void,
  hear: (sum: Channels, at: number, frames: number) => void,
): void {
  const mix = createProcessedMix(plan, { kind: 'stack' }, openTake)
  mix.begin(plan.startFrame)
  const from = fromFrame - plan.startFrame
  for (let at = 0; at < plan.frames; ) {
    const frames = Math.min(BLOCK_FRAMES, (at < from ? from : plan.frames) - at)
    mix.render(frames)
    hear(mix.sum, at, frames)
    at += frames
    onProgress(at / plan.frames)
  }
}

/** Renders groups of a stack for the thread that measures it with the others. @param onProgress as measureStack */
export function passStack(
  plan: RenderPlan,
  openTake: (layer: PlannedLayer) => TakeSource,
  passed: PassedSound,
  onProgress: (fraction: number) => void,
): void {
  const sender = createSoundSender(passed, 0)
  renderStack(plan, plan.startFrame, openTake, onProgress, (sum, _, frames) => sender.send(sum, frames))
}

/**
 * Loudness, peaks and mono check of the processed stack, all groups with their gains.
 * @param fromFrame session frame from which is measured; rendered is from the start, so that the chains have heard it
 * @param passed the sum of the groups that another thread renders; null where the plan has all
 * @param onProgress receives the fraction done; throws to stop
 */
export function measureStack(
  plan: RenderPlan,
  fromFrame: number,
  openTake: (layer: PlannedLayer) => TakeSource,
  passed: PassedSound | null,
  onProgress: (fraction: number) => void,
): StackMeasurement {
  const meter = createStemMeter({ sampleRateHz: plan.sampleRateHz, channels: 2 })
  const mono = createMonoCheck(plan.sampleRateHz)
  let done = 0
  const receiver = passed && createSoundReceiver(passed, () => onProgress(done))
  const others: Channels = [new Float64Array(BLOCK_FRAMES), new Float64Array(BLOCK_FRAMES)]
  const report = (fraction: number): void => {
    done = fraction
    onProgress(fraction)
  }
  const from = fromFrame - plan.startFrame
  renderStack(plan, fromFrame, openTake, report, (sum, at, frames) => {
    if (at < from) return
    if (receiver !== null) {
      receiver.receive(at, frames, others)
      addLane(others, sum, frames)
    }
    meter.add(sum, frames)
    mono.add(sum, frames)
  })
  return { ...meter.facts(), mono: mono.facts() }
}
