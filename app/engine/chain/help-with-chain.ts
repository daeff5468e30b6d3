// The helper's side of a split chain: takes the stages over once its thread has started, then runs
// every block that is written until the owner ends it.

import { BLOCK_FRAMES } from '../../dsp/stage.ts'
import {
  COMING,
  createSharedStages,
  DONE_FRAMES,
  ENDING,
  FAILED,
  HELPER_SLEEPS,
  OWNER_SLEEPS,
  PHASE,
  READY,
  type SharedSound,
  WANTED_FRAMES,
  WRITTEN_FRAMES,
} from './shared-stages.ts'

/** Blocks its thread until the chain's owner ends it. */
export function helpWithChain({ setups, layout, control, rings, memory, measured }: SharedSound): void {
  try {
    const stages = createSharedStages(setups, layout, rings, measured)
    if (Atomics.compareExchange(control, PHASE, COMING, READY) !== COMING) return
    while (Atomics.load(control, PHASE) === READY) Atomics.wait(control, PHASE, READY)
    if (Atomics.load(control, PHASE) === ENDING) return
    stages.restore(memory)
    while (Atomics.load(control, PHASE) !== ENDING) {
      const written = Atomics.load(control, WRITTEN_FRAMES)
      if (((written - stages.doneFrames) | 0) < BLOCK_FRAMES) {
        // If more frames have been written in the meantime, the wait returns at once.
        Atomics.store(control, HELPER_SLEEPS, 1)
        Atomics.wait(control, WRITTEN_FRAMES, written)
        Atomics.store(control, HELPER_SLEEPS, 0)
        continue
      }
      stages.runBlock()
      Atomics.store(control, DONE_FRAMES, stages.doneFrames)
      const isWanted = ((stages.doneFrames - Atomics.load(control, WANTED_FRAMES)) | 0) >= 0
      if (isWanted && Atomics.load(control, OWNER_SLEEPS) === 1) Atomics.notify(control, DONE_FRAMES)
    }
  } catch (error) {
    Atomics.store(control, PHASE, FAILED)
    Atomics.notify(control, DONE_FRAMES)
    throw error
  }
}
