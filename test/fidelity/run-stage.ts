// Runs test signals through the production stages, in the engine's block size and with the
// latency compensated.

import { createChain } from '../../app/dsp/chain.ts'
import { BLOCK_FRAMES, type Stage } from '../../app/dsp/stage.ts'
import type { StageSetup } from '../../app/dsp/stages/settings.ts'

/** Runs a stage over a copy of a mono signal; the stage keeps the state it already has. */
export function runThrough(stage: Stage, samples: Float64Array): Float64Array {
  const output = samples.slice()
  for (let from = 0; from < output.length; from += BLOCK_FRAMES) {
    const block = output.subarray(from, from + BLOCK_FRAMES)
    stage.process([[block]], block.length)
  }
  return output
}

/** Runs a mono signal through a new chain. The output is aligned with the input and has its length. */
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

/** Reduction in dB at every sample that a stage gives a signal, aligned with it: read from a second lane of ones. */
export function reductionUnder(
  setup: StageSetup,
  samples: Float64Array,
  sampleRateHz = 48_000,
): Float64Array {
  const chain = createChain([setup], { sampleRateHz, laneChannels: [1, 1] })
  const heard = new Float64Array(samples.length + chain.latencySamples)
  heard.set(samples)
  const gain = new Float64Array(heard.length).fill(1)
  for (let from = 0; from < heard.length; from += BLOCK_FRAMES) {
    const [block, ones] = [heard, gain].map((row) => row.subarray(from, from + BLOCK_FRAMES))
    chain.process([[block], [ones]], block.length)
  }
  return gain.subarray(chain.latencySamples).map((x) => -20 * Math.log10(x))
}
