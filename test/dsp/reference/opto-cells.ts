// The cells of the opto in plain TypeScript.

import type { OptoCellDesign } from '../../../app/dsp/stages/opto-cell-design.ts'

const SLOW_SHARE = 0.4
const MEMORY_FULL_DB = 6
/** A last remainder that is let go at once, a step of -119 dB; the gain is exactly 1 after it. */
const EMPTY_DB = 1e-5

export interface OptoCells {
  /** Fast cell in dB, slow cell in dB, memory from 0 to 1. */
  readonly memory: Float64Array
  /** Replaces the static reductions (dB, 0 or more) by those the cells give. Returns the greatest. */
  run(reductionsDb: Float64Array, frames: number): number
}

export function createOptoCells(design: OptoCellDesign): OptoCells {
  const { attackA, settleA, releaseA, slowFillA, memoryFillA, memoryFadeA, shortFrames, moreFrames } = design
  const memory = new Float64Array(3)

  return {
    memory,
    run(reductionsDb, frames) {
      let fast = memory[0]
      let slow = memory[1]
      let remembered = memory[2]
      let total = fast + slow
      let greatest = 0
      for (let i = 0; i < frames; i++) {
        const asked = reductionsDb[i]
        const lit = asked < MEMORY_FULL_DB ? asked / MEMORY_FULL_DB : 1
        if (lit > remembered) remembered = memoryFillA * remembered + (1 - memoryFillA) * lit
        else {
          remembered = memoryFadeA * remembered + (1 - memoryFadeA) * lit
          if (remembered < 1e-9) remembered = 0
        }

        const share = SLOW_SHARE * asked
        if (share > slow) {
          // What fills the slow cell comes out of the fast one: their sum does not rise.
          const gained = (1 - slowFillA) * (share - slow)
          slow += gained
          fast = Math.max(0, fast - gained)
        } else {
          // 1 - exp(-1 / t) for a t that moves: 1 / (t + 1/2) to within 1 part in 12 t^2.
          const take = 1 / (shortFrames + moreFrames * remembered + 0.5)
          slow = (1 - take) * slow + take * share
          if (slow < EMPTY_DB) slow = 0
        }

        if (asked > total) {
          const left = asked - total
          const a = left > Math.min(1, 0.3 * asked) ? attackA : settleA
          total = a * total + (1 - a) * asked
          fast = total > slow ? total - slow : 0
        } else {
          const rest = asked > slow ? asked - slow : 0
          fast = releaseA * fast + (1 - releaseA) * rest
          if (fast < EMPTY_DB && rest === 0) fast = 0
        }
        total = fast + slow
        reductionsDb[i] = total
        if (total > greatest) greatest = total
      }
      memory[0] = fast
      memory[1] = slow
      memory[2] = remembered
      return greatest
    },
  }
}
