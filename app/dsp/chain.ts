// Stages in series, which together form a stage. The signal can be tapped at the
// joints between them: joint 0 is before the first stage, joint k after the k-th.

import type { Channels, Stage, StageLayout } from './stage.ts'
import { createStage } from './stages/create-stage.ts'
import type { StageSetup } from './stages/settings.ts'

/** A chain as one stage. */
export interface Chain extends Stage {
  readonly stages: readonly Stage[]
}

/**
 * @param tap called with the lanes at every joint of every block, each joint delayed by the latency
 * of the stages before it; it must not change them
 */
export function createChain(
  setups: readonly StageSetup[],
  layout: StageLayout,
  tap?: (joint: number, lanes: readonly Channels[], frames: number) => void,
): Chain {
  const stages = setups.map((setup) => createStage(setup, layout))
  return {
    stages,
    latencySamples: stages.reduce((sum, stage) => sum + stage.latencySamples, 0),
    memory: stages.flatMap((stage) => stage.memory),
    get reductionDb() {
      let sum = 0
      for (const stage of stages) sum += stage.reductionDb
      return sum
    },
    process(lanes, frames) {
      tap?.(0, lanes, frames)
      for (let k = 0; k < stages.length; k++) {
        stages[k].process(lanes, frames)
        tap?.(k + 1, lanes, frames)
      }
    },
  }
}
