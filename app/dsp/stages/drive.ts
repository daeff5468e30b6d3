// Harmonic grit: a smooth oversampled curve (drive-curve.ts).
//
// Input of the curve: u = x 10^((amountDb - referenceDbfs - 12) / 20). With 0 dB the
// reference level sits 12 dB under the knee (u = 1) and is hardly touched; with 12 dB
// it reaches the knee. The curve's output is divided by the same gain, so what is
// quiet passes at its level; outputDb comes after.
//
// The curve acts as a momentary gain of the leader, channel by channel, at the high
// rate; followers get the same gain on their own sound and so add up to the leader.
// Only what the curve changes, x (gain - 1), comes back down and is freed of DC by a
// 5 Hz one-pole high-pass; it is added to the sound as it came, delayed to match. So
// there is no comb at any mix, and a sound that the curve does not bend stays itself.

import { designOversampling } from '../conversion/oversampling-design.ts'
import { createLaneDelay } from '../mix/lane-delay.ts'
import { BLOCK_FRAMES, type Stage, type StageLayout } from '../stage.ts'
import { createWorkRows, kernels, take, work } from '../wasm/kernels.ts'
import { createOversamplingKernels } from '../wasm/oversampling-kernels.ts'
import { designDrive } from './drive-design.ts'
import type { DriveSettings } from './settings.ts'

/** Doubles that the DC block remembers: its last input and output. */
const DC_BLOCK_MEMORY = 2

export function createDrive(settings: DriveSettings, layout: StageLayout): Stage {
  const { laneChannels, sampleRateHz } = layout
  const { factor, push, tanhBias, unbentGain, bentGain, dcBlockR } = designDrive(settings, sampleRateHz)
  const design = designOversampling(factor, sampleRateHz)
  const { latencySamples } = design
  if (settings.mixPercent === 0) {
    const delay = createLaneDelay(laneChannels, latencySamples)
    return { latencySamples, memory: delay.memory, reductionDb: 0, process: delay.process }
  }

  const rows = createWorkRows()
  const oversampling = createOversamplingKernels(design, rows)
  const { memoryLength } = oversampling
  const highFrames = BLOCK_FRAMES * factor
  const leaderChannels = laneChannels[0]
  const excess = Array.from({ length: leaderChannels }, () => rows.row(highFrames))
  const meanExcess = rows.row(highFrames)
  const difference = rows.row(BLOCK_FRAMES)
  const dcBlock = rows.row(DC_BLOCK_MEMORY)
  const needsMean = leaderChannels > 1 && laneChannels.includes(1)
  const memory = laneChannels.map((channels) =>
    Array.from({ length: channels }, () => new Float64Array(memoryLength + DC_BLOCK_MEMORY)),
  )

  function excessFor(lane: number, channel: number): number {
    if (laneChannels[lane] === leaderChannels) return excess[channel]
    return leaderChannels === 1 ? excess[0] : meanExcess
  }

  function writeMeanExcess(count: number): void {
    for (let i = 0; i < count; i++) {
      let sum = 0
      for (let channel = 0; channel < leaderChannels; channel++) sum += work[excess[channel] + i]
      work[meanExcess + i] = sum / leaderChannels
    }
  }

  function bend(samples: Float64Array, lane: number, channel: number, frames: number): void {
    const remembered = memory[lane][channel]
    const used = excessFor(lane, channel)
    oversampling.recall(samples, remembered, frames)
    oversampling.rise(frames)
    const { high, even, odd, dry } = oversampling
    if (lane === 0) kernels.writeExcess(8 * high, 8 * used, frames * factor, push, tanhBias)
    kernels.multiplySplit(8 * high, 8 * used, 8 * even, 8 * odd, frames * factor)
    oversampling.fall(difference, frames)
    oversampling.remember(remembered, frames)
    work[dcBlock] = remembered[memoryLength]
    work[dcBlock + 1] = remembered[memoryLength + 1]
    kernels.addFreedOfDc(
      8 * dry,
      8 * difference,
      8 * difference,
      8 * dcBlock,
      dcBlockR,
      unbentGain,
      bentGain,
      frames,
    )
    remembered[memoryLength] = work[dcBlock]
    remembered[memoryLength + 1] = work[dcBlock + 1]
    take(difference, samples, frames)
  }

  return {
    latencySamples,
    memory: memory.flat(),
    reductionDb: 0,
    process(lanes, frames) {
      oversampling.loadTaps()
      for (let lane = 0; lane < lanes.length; lane++) {
        for (let channel = 0; channel < laneChannels[lane]; channel++)
          bend(lanes[lane][channel], lane, channel, frames)
        if (lane === 0 && needsMean) writeMeanExcess(frames * factor)
      }
    },
  }
}
