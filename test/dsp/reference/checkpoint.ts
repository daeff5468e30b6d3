// A stage's memory set aside and put back, so that a render can go on from where
// another one was, with the same samples as if it had run from the start.

import type { Stage } from '../../../app/dsp/stage.ts'

/** A copy; taken from a fresh stage it is what resets it. */
export function saveMemory(stage: Stage): Float64Array[] {
  return stage.memory.map((part) => part.slice())
}

/**
 * @param saved from a stage of the same setup and layout
 * @throws RangeError if it is not
 */
export function restoreMemory(stage: Stage, saved: readonly Float64Array[]): void {
  const fits =
    saved.length === stage.memory.length && saved.every((part, i) => part.length === stage.memory[i].length)
  if (!fits) throw new RangeError('the checkpoint was taken from a stage of another setup or layout')
  for (let i = 0; i < saved.length; i++) stage.memory[i].set(saved[i])
}
