// One take through its stages, read by position: the stages run forward, so a lane goes on from where it is, or restarts
// at the beginning of its run. A run gives the same samples however it is read.

import { createChain } from '../../dsp/chain.ts'
import { BLOCK_FRAMES, type Channels } from '../../dsp/stage.ts'
import type { StageSetup } from '../../dsp/stages/settings.ts'
import type { TakeSource } from '../mixes/take-source.ts'

/**
 * A jump into a run replays at most this much of it. Stages before the sum forget within it, so that later samples are those
 * of the whole run; a bounce never jumps.
 */
const REPLAY_S = 10

/** A lane of one take. */
export interface TakeLane {
  readonly channels: number
  readonly memory: readonly Float64Array[]
  /**
   * Frames of the processed take, aligned with it. At most BLOCK_FRAMES.
   * @param runFrom frame of the take at which the run begins; one number for each run
   */
  read(run: number, runFrom: number, startFrame: number, frames: number, into: Channels): void
}

/** @param source at the session's rate */
export function createTakeLane(
  source: TakeSource,
  stages: readonly StageSetup[],
  sampleRateHz: number,
): TakeLane {
  const chain = createChain(stages, { sampleRateHz, laneChannels: [source.channels] })
  const atRest = chain.memory.map((array) => array.slice())
  const replay = stages.length === 0 ? 0 : Math.ceil(REPLAY_S * sampleRateHz)
  // The run that is read, and the next frame of the take; part of the memory, so that a checkpoint has them.
  const place = Float64Array.of(-1, 0)
  const scratch: Channels = Array.from({ length: source.channels }, () => new Float64Array(BLOCK_FRAMES))

  const step = (frames: number, into: Channels): void => {
    source.read(place[1] + chain.latencySamples, frames, into)
    if (stages.length > 0) chain.process([into], frames)
    place[1] += frames
  }
  const skipTo = (frame: number): void => {
    while (place[1] < frame) step(Math.min(BLOCK_FRAMES, frame - place[1]), scratch)
  }
  const restart = (run: number, frame: number): void => {
    for (let k = 0; k < atRest.length; k++) chain.memory[k].set(atRest[k])
    place[0] = run
    // The latency of the stages runs first and is dropped.
    place[1] = frame - chain.latencySamples
    skipTo(frame)
  }

  return {
    channels: source.channels,
    memory: [place, ...chain.memory],
    read(run, runFrom, startFrame, frames, into) {
      const from = Math.max(runFrom, startFrame - replay)
      if (place[0] !== run || place[1] > startFrame || place[1] < from) restart(run, from)
      skipTo(startFrame)
      step(frames, into)
    },
  }
}
