// One layer as it arrives at the sum: its take at its offset, through trim, expander and
// mic correction, with the layer's gain and polarity. Pan comes later, so that its stem can stay mono.

import { type Chain, createChain } from '../../dsp/chain.ts'
import { gainFromDb } from '../../dsp/maths/decibels.ts'
import { BLOCK_FRAMES, type Channels } from '../../dsp/stage.ts'
import type { StageSetup } from '../../dsp/stages/settings.ts'
import type { TakeSource } from './take-source.ts'

interface LayerFeed {
  readonly channels: number
  readonly memory: readonly Float64Array[]
  /** Restarts from silence, so that the next frame from `fill` is `frame` (session time). */
  begin(frame: number): void
  /** The next frames; positions follow on from `begin` or the last call. At most BLOCK_FRAMES. */
  fill(frames: number, into: Channels): void
}

interface LayerFeedSettings {
  readonly offsetSamples: number
  readonly gainDb: number
  readonly polarityInverted?: boolean | undefined
  readonly stages: readonly StageSetup[]
  readonly sampleRateHz: number
}

/** @param tap called with the layer at every joint of its own stages, as in createChain */
export function createLayerFeed(
  source: TakeSource,
  { offsetSamples, gainDb, polarityInverted = false, stages, sampleRateHz }: LayerFeedSettings,
  tap?: Parameters<typeof createChain>[2],
): LayerFeed {
  const chain: Chain = createChain(stages, { sampleRateHz, laneChannels: [source.channels] }, tap)
  const gain = polarityInverted ? -gainFromDb(gainDb) : gainFromDb(gainDb)
  const isUnity = gainDb === 0 && !polarityInverted
  // The position is part of the memory, so that a checkpoint restores it too.
  const position = new Float64Array(1)
  const scratch: Channels = Array.from({ length: source.channels }, () => new Float64Array(BLOCK_FRAMES))

  const fill = (frames: number, into: Channels): void => {
    source.read(position[0] - offsetSamples, frames, into)
    position[0] = position[0] + frames
    if (stages.length > 0) chain.process([into], frames)
    if (isUnity) return
    for (const channel of into) for (let i = 0; i < frames; i++) channel[i] = channel[i] * gain
  }

  return {
    channels: source.channels,
    memory: [position, ...chain.memory],
    begin(frame) {
      position[0] = frame
      // Runs the stages' latency first and drops it, which aligns the output with the take.
      for (let left = chain.latencySamples; left > 0; left -= BLOCK_FRAMES)
        fill(Math.min(left, BLOCK_FRAMES), scratch)
    },
    fill,
  }
}
