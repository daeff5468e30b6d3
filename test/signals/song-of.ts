// A take in memory measured along the song, with the sound at each joint beside it, as a run over the whole take at
// once leaves it.

import { defaultStages } from '../../app/contract/chain-document.ts'
import type { ChainMeasurement } from '../../app/contract/joints.ts'
import type { StageSetup } from '../../app/contract/render-plan.ts'
import { strandHop } from '../../app/dsp/meters/strands.ts'
import { createStage } from '../../app/dsp/stages/create-stage.ts'
import {
  joinParts,
  type MeasureOptions,
  measureJoints,
  type StageToMeasure,
} from '../../app/engine/measuring/measure-joints.ts'
import { sumsOf } from '../../renderer/formats/song/joint-sums.ts'
import type { MeasuredSong } from '../../renderer/formats/song/range-figures.ts'
import { takeInMemory } from './takes.ts'

/** A stage of a chain with its usual settings but for the changes. */
export const stageOf = (
  kind: keyof typeof defaultStages,
  changes: object = {},
  on = true,
): StageToMeasure => ({
  kind,
  on,
  remark: null,
  setup: on ? ({ kind, settings: { ...defaultStages[kind].settings, ...changes } } as StageSetup) : null,
})

/** Measures a take along the song, in one part. */
export function songOf(
  channels: readonly Float64Array[],
  stages: readonly StageToMeasure[],
  sampleRateHz = 48_000,
  options: MeasureOptions = {},
): { readonly song: MeasuredSong; readonly measurement: ChainMeasurement } {
  const whole = { ...options, keepsRows: true }
  const range = { fromStage: options.from?.beforeStage ?? 0, toStage: stages.length }
  const part = measureJoints(takeInMemory(channels), sampleRateHz, stages, range, () => {}, whole)
  const { rows, measurement } = joinParts([part], whole)
  const joints = rows.map((_, joint) => {
    for (let k = joint; k >= 0; k--) {
      const found = rows[k]
      if (found !== null) return sumsOf(found)
    }
    throw new Error('the first joint has no rows')
  })
  return {
    song: {
      layout: {
        sampleRateHz,
        frames: channels[0].length,
        rowFrames: strandHop(sampleRateHz),
        keys: [],
      },
      joints,
    },
    measurement,
  }
}

/** The sound at each joint, without the latency of the stages before it; and the trace of each stage, likewise. */
export function soundAtJoints(
  channels: readonly Float64Array[],
  stages: readonly StageToMeasure[],
  sampleRateHz = 48_000,
): { readonly joints: Float64Array[][]; readonly traces: Float64Array[] } {
  const frames = channels[0].length
  const tail = sampleRateHz
  // With silence behind the take, so that nothing of its end is lost on the way.
  const sound = channels.map((channel) => {
    const padded = new Float64Array(frames + tail)
    padded.set(channel)
    return padded
  })
  const joints = [channels.map((channel) => Float64Array.from(channel))]
  const traces: Float64Array[] = []
  let late = 0
  for (const { setup } of stages) {
    const traced = new Float64Array(1024)
    const stage =
      setup === null ? null : createStage(setup, { sampleRateHz, laneChannels: [channels.length] }, traced)
    late += stage?.latencySamples ?? 0
    const trace = new Float64Array(frames + tail)
    // Blocks of another size than the measurement's, which must not matter.
    for (let at = 0; at < frames + tail; at += 700) {
      const count = Math.min(700, frames + tail - at)
      const block = sound.map((channel) => channel.slice(at, at + count))
      stage?.process([block], count)
      for (const [c, channel] of sound.entries()) channel.set(block[c], at)
      trace.set(traced.subarray(0, count), at)
    }
    traces.push(trace.slice(late, late + frames))
    joints.push(sound.map((channel) => channel.slice(late, late + frames)))
  }
  return { joints, traces }
}
