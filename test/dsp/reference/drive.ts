// The drive in plain TypeScript: what createDrive, which runs on the kernels, is held against.

import { createLaneDelay } from '../../../app/dsp/mix/lane-delay.ts'
import { BLOCK_FRAMES, type Channels, type Stage, type StageLayout } from '../../../app/dsp/stage.ts'
import { driveExcess } from '../../../app/dsp/stages/drive-curve.ts'
import { designDrive } from '../../../app/dsp/stages/drive-design.ts'
import type { DriveSettings } from '../../../app/dsp/stages/settings.ts'
import { createOversampler } from './oversampler.ts'

const DEAD = 1e-15

export function createPlainDrive(settings: DriveSettings, layout: StageLayout): Stage {
  const { laneChannels, sampleRateHz } = layout
  const design = designDrive(settings, sampleRateHz)
  const { factor, push, tanhBias, unbentGain, bentGain, dcBlockR } = design
  const oversampler = createOversampler(factor, sampleRateHz)
  const delay = createLaneDelay(laneChannels, oversampler.latencySamples)

  const channelMemory = (length: number) =>
    laneChannels.map((channels) => Array.from({ length: channels }, () => new Float64Array(length)))
  const rising = channelMemory(oversampler.riseMemoryLength)
  const falling = channelMemory(oversampler.fallMemoryLength)
  /** Last input and output of the DC block. */
  const blocking = channelMemory(2)

  const highFrames = BLOCK_FRAMES * factor
  const high = new Float64Array(highFrames)
  const leaderHigh = Array.from({ length: laneChannels[0] }, () => new Float64Array(highFrames))
  const excess = Array.from({ length: laneChannels[0] }, () => new Float64Array(highFrames))
  const meanExcess = new Float64Array(highFrames)
  const bent = laneChannels.map((channels) =>
    Array.from({ length: channels }, () => new Float64Array(BLOCK_FRAMES)),
  )
  const needsMean = laneChannels[0] > 1 && laneChannels.includes(1)

  function excessFor(lane: number, channel: number): Float64Array {
    if (laneChannels[lane] === laneChannels[0]) return excess[channel]
    return laneChannels[0] === 1 ? excess[0] : meanExcess
  }

  function readLeader(leader: Channels, frames: number): void {
    const count = frames * factor
    for (let channel = 0; channel < leaderHigh.length; channel++) {
      const sound = leaderHigh[channel]
      oversampler.rise(leader[channel], sound, rising[0][channel], frames)
      writeExcess(sound, excess[channel], count, push, tanhBias)
    }
    if (!needsMean) return
    for (let i = 0; i < count; i++) {
      let sum = 0
      for (let channel = 0; channel < excess.length; channel++) sum += excess[channel][i]
      meanExcess[i] = sum / excess.length
    }
  }

  function bend(samples: Float64Array, lane: number, channel: number, frames: number): void {
    const count = frames * factor
    let sound = high
    if (lane === 0) sound = leaderHigh[channel]
    else oversampler.rise(samples, high, rising[lane][channel], frames)
    multiply(sound, excessFor(lane, channel), high, count)
    const difference = bent[lane][channel]
    oversampler.fall(high, difference, falling[lane][channel], frames)
    blockDc(difference, blocking[lane][channel], dcBlockR, frames)
  }

  return {
    latencySamples: oversampler.latencySamples,
    memory: [...delay.memory, ...rising.flat(), ...falling.flat(), ...blocking.flat()],
    reductionDb: 0,
    process(lanes, frames) {
      readLeader(lanes[0], frames)
      for (let lane = 0; lane < lanes.length; lane++) {
        for (let channel = 0; channel < laneChannels[lane]; channel++)
          bend(lanes[lane][channel], lane, channel, frames)
      }
      delay.process(lanes, frames)
      for (let lane = 0; lane < lanes.length; lane++) {
        for (let channel = 0; channel < laneChannels[lane]; channel++) {
          blend(lanes[lane][channel], bent[lane][channel], unbentGain, bentGain, frames)
        }
      }
    },
  }
}

function writeExcess(
  sound: Float64Array,
  excess: Float64Array,
  count: number,
  push: number,
  tanhBias: number,
): void {
  for (let i = 0; i < count; i++) excess[i] = driveExcess(push * sound[i], tanhBias)
}

function multiply(a: Float64Array, b: Float64Array, product: Float64Array, count: number): void {
  for (let i = 0; i < count; i++) product[i] = a[i] * b[i]
}

/** y = x - x[n-1] + r y[n-1] in place. @param state the last x and y */
function blockDc(samples: Float64Array, state: Float64Array, r: number, frames: number): void {
  let x1 = state[0]
  let y1 = state[1]
  for (let i = 0; i < frames; i++) {
    const x = samples[i]
    y1 = x - x1 + r * y1
    if (y1 < DEAD && y1 > -DEAD) y1 = 0
    x1 = x
    samples[i] = y1
  }
  state[0] = x1
  state[1] = y1
}

function blend(
  samples: Float64Array,
  difference: Float64Array,
  unbentGain: number,
  bentGain: number,
  frames: number,
): void {
  for (let i = 0; i < frames; i++) samples[i] = unbentGain * samples[i] + bentGain * difference[i]
}
