// Harmonic grit: a smooth oversampled curve (drive-curve.ts).
//
// Input of the curve: u = x 10^((amountDb - referenceDbfs - 12) / 20). With 0 dB the
// reference level is 12 dB under the knee (u = 1) and hardly changes; with 12 dB it
// reaches the knee. The curve's output is divided by the same gain, so quiet sound
// keeps its level; outputDb is applied afterwards.
//
// The curve acts as a momentary gain of the leader, channel by channel, at the high
// rate; followers get the same gain on their own sound and so add up to the leader.
// Only what the curve changes, x (gain - 1), is brought back to the sample rate and DC-blocked by a
// 5 Hz one-pole high-pass; it is added to the dry sound, delayed to match. So there is no
// comb filtering at any mix, and a sound that the curve does not bend is unchanged.

import { designOversampling } from '../conversion/oversampling-design.ts'
import { createLaneDelay } from '../mix/lane-delay.ts'
import { BLOCK_FRAMES, type Stage, type StageLayout } from '../stage.ts'
import { copyOut, createWorkRows, kernels, viewOf } from '../wasm/kernels.ts'
import { createOversamplingKernels } from '../wasm/oversampling-kernels.ts'
import type { Row } from '../wasm/row.ts'
import { designDrive } from './drive-design.ts'
import type { DriveSettings } from './settings.ts'

/** Doubles that the DC block remembers: its last input and output. */
const DC_BLOCK_MEMORY = 2

/** @returns the drive; its latency is that of the oversampling, whatever the mix */
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
  const excessViews = excess.map((row) => viewOf(row, highFrames))
  const meanExcess = rows.row(highFrames)
  const meanExcessView = viewOf(meanExcess, highFrames)
  const difference = rows.row(BLOCK_FRAMES)
  const dcBlock = rows.row(DC_BLOCK_MEMORY)
  const dcBlockView = viewOf(dcBlock, DC_BLOCK_MEMORY)
  const needsMean = leaderChannels > 1 && laneChannels.includes(1)
  const memory = laneChannels.map((channels) =>
    Array.from({ length: channels }, () => new Float64Array(memoryLength + DC_BLOCK_MEMORY)),
  )

  function excessFor(lane: number, channel: number): Row {
    if (laneChannels[lane] === leaderChannels) return excess[channel]
    return leaderChannels === 1 ? excess[0] : meanExcess
  }

  function writeMeanExcess(count: number): void {
    for (let i = 0; i < count; i++) {
      let sum = 0
      for (let channel = 0; channel < leaderChannels; channel++) sum += excessViews[channel][i]
      meanExcessView[i] = sum / leaderChannels
    }
  }

  function bend(samples: Float64Array, lane: number, channel: number, frames: number): void {
    const remembered = memory[lane][channel]
    const used = excessFor(lane, channel)
    oversampling.recall(samples, remembered, frames)
    oversampling.rise(frames)
    const { high, even, odd, dry } = oversampling
    if (lane === 0) kernels.writeExcess(high, used, frames * factor, push, tanhBias)
    kernels.multiplySplit(high, used, even, odd, frames * factor)
    oversampling.fall(difference, frames)
    oversampling.remember(remembered, frames)
    dcBlockView[0] = remembered[memoryLength]
    dcBlockView[1] = remembered[memoryLength + 1]
    kernels.addDcBlocked(dry, difference, difference, dcBlock, dcBlockR, unbentGain, bentGain, frames)
    remembered[memoryLength] = dcBlockView[0]
    remembered[memoryLength + 1] = dcBlockView[1]
    copyOut(difference, samples, frames)
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
