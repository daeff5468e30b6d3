// A chain, or a part of one, that records the power of lane 0 at its joints and the greatest
// reduction of its stages, over the sound alone: not the silence that flushes the latency.

import type { StageSetup } from '../../contract/render-plan.ts'
import { type Chain, createChain } from '../../dsp/chain.ts'
import { sumOfSquares } from '../../dsp/meters/power.ts'
import type { StageLayout } from '../../dsp/stage.ts'

/** Levels of a chain, measured over the sound alone. */
export interface ChainLevels {
  /** Sum of squares at every joint of the whole chain, all channels of lane 0 together. */
  readonly powers: Float64Array
  /** Greatest reduction of every stage in dB. */
  readonly reductionsDb: Float64Array
}

/** Which part of a chain is measured, and where its levels go. */
export interface MeasuredPart {
  readonly levels: ChainLevels
  /** Place of the part's first stage in the whole chain. */
  readonly firstStage: number
  /** Latency in frames where the part begins. */
  readonly lateFrames: number
  /** Length of the sound. */
  readonly frames: number
}

/**
 * @param part null measures nothing. The joint before the part is measured by the part that ends there,
 *   except for joint 0
 */
export function createMeasuredChain(
  setups: readonly StageSetup[],
  layout: StageLayout,
  part: MeasuredPart | null,
): Chain {
  if (part === null) return createChain(setups, layout)
  const { levels, firstStage, lateFrames, frames: soundFrames } = part
  const lates = [lateFrames]
  /** Frames processed so far; part of the memory, so that another chain can continue from here. */
  const heard = new Float64Array(1)

  /** How many of the next frames still belong to the sound. */
  const soundIn = (joint: number, frames: number): number =>
    Math.max(0, Math.min(frames, lates[joint] + soundFrames - heard[0]))

  const chain = createChain(setups, layout, (joint, lanes, frames) => {
    const place = firstStage + joint
    if (joint === 0 && place > 0) return
    const counted = soundIn(joint, frames)
    if (counted === 0) return
    for (const samples of lanes[0]) levels.powers[place] += sumOfSquares(samples, counted)
  })
  for (const stage of chain.stages) lates.push(lates[lates.length - 1] + stage.latencySamples)
  return {
    ...chain,
    memory: [...chain.memory, heard],
    get reductionDb() {
      return chain.reductionDb
    },
    process(lanes, frames) {
      chain.process(lanes, frames)
      for (let k = 0; k < chain.stages.length; k++) {
        const place = firstStage + k
        const { reductionDb } = chain.stages[k]
        if (soundIn(k + 1, frames) > 0 && reductionDb > levels.reductionsDb[place]) {
          levels.reductionsDb[place] = reductionDb
        }
      }
      heard[0] += frames
    },
  }
}
