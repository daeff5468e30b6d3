// The ballistics of the opto stage: two cells with a memory. Ours, in the spirit of
// release with two parallel time constants; no unit is modelled.
//
// The slow cell fills toward 0.4 of the reduction asked for, in 0.15 s, and lets go
// with a time constant between a tenth of the recovery time and all of it. Which, says
// the memory: it fills in 1.5 s while 6 dB or more are asked for (less in proportion)
// and fades in 4 s. The fast cell carries what the slow one does not: upward, it fills
// so that the two together reach the static curve with the attack time alone; let go,
// it falls with the release time. So the larger half goes at once and the rest
// lingers, longer after longer compression, and neither ever rises in silence.

import { smoothingCoefficient } from '../time-constant.ts'

const SLOW_SHARE = 0.4
const SLOW_FILL_SECONDS = 0.15
const MEMORY_FILL_SECONDS = 1.5
const MEMORY_FADE_SECONDS = 4
const MEMORY_FULL_DB = 6
const SHORT_RECOVERY = 0.1
/** A last remainder that is let go at once, a step of -119 dB; the gain is exactly 1 after it. */
const EMPTY_DB = 1e-5

export interface OptoCells {
  /** Fast cell in dB, slow cell in dB, memory from 0 to 1. */
  readonly memory: Float64Array
  /** Replaces the static reductions (dB, 0 or more) by those the cells give. Returns the greatest. */
  run(reductionsDb: Float64Array, frames: number): number
}

export function createOptoCells(
  attackSeconds: number,
  releaseSeconds: number,
  recoverySeconds: number,
  sampleRateHz: number,
): OptoCells {
  const attackA = smoothingCoefficient(attackSeconds, sampleRateHz)
  const releaseA = smoothingCoefficient(releaseSeconds, sampleRateHz)
  const slowFillA = smoothingCoefficient(SLOW_FILL_SECONDS, sampleRateHz)
  const memoryFillA = smoothingCoefficient(MEMORY_FILL_SECONDS, sampleRateHz)
  const memoryFadeA = smoothingCoefficient(MEMORY_FADE_SECONDS, sampleRateHz)
  const shortFrames = SHORT_RECOVERY * recoverySeconds * sampleRateHz
  const moreFrames = (1 - SHORT_RECOVERY) * recoverySeconds * sampleRateHz
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
        remembered = lit + (lit > remembered ? memoryFillA : memoryFadeA) * (remembered - lit)
        if (remembered < 1e-9) remembered = 0

        const share = SLOW_SHARE * asked
        if (share > slow) {
          slow = share + slowFillA * (slow - share)
        } else {
          // 1 - exp(-1 / t) for a t that moves: 1 / (t + 1/2) to within 1 part in 12 t^2.
          slow += (share - slow) / (shortFrames + moreFrames * remembered + 0.5)
          if (slow < EMPTY_DB) slow = 0
        }

        if (asked > total) {
          total = asked + attackA * (total - asked)
          fast = total > slow ? total - slow : 0
        } else {
          const rest = asked > slow ? asked - slow : 0
          fast = rest + releaseA * (fast - rest)
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
