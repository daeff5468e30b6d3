// Sound through the stages as they are shipped: made by createStage and createChain, run in
// the blocks the engine uses, latency taken out.

import { createChain } from '../../app/dsp/chain.ts'
import { BLOCK_FRAMES, type Stage } from '../../app/dsp/stage.ts'
import type { StageSetup } from '../../app/dsp/stages/settings.ts'

/** Runs a stage over a copy of one mono sound, from wherever it stands. */
export function runThrough(stage: Stage, samples: Float64Array): Float64Array {
  const output = samples.slice()
  for (let from = 0; from < output.length; from += BLOCK_FRAMES) {
    const block = output.subarray(from, from + BLOCK_FRAMES)
    stage.process([[block]], block.length)
  }
  return output
}

/** A mono sound through fresh stages: same length, in time with the input. */
export function runMono(
  setups: readonly StageSetup[],
  samples: Float64Array,
  sampleRateHz = 48_000,
): Float64Array {
  const chain = createChain(setups, { sampleRateHz, laneChannels: [1] })
  const fed = new Float64Array(samples.length + chain.latencySamples)
  fed.set(samples)
  return runThrough(chain, fed).subarray(chain.latencySamples)
}
