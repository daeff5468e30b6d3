// The ballistics of the opto stage: two cells with a memory. Our own model of a
// release with two parallel time constants; no unit is modelled.
//
// The slow cell charges toward 0.4 of the target reduction in 0.15 s and releases with a
// time constant between a tenth of the recovery time and all of it. The memory sets it: the
// memory charges in 1.5 s while the target is 6 dB or more (less in proportion) and decays in
// 4 s. The fast cell carries the rest: on attack it charges so that both cells together reach
// the static curve with the attack time; on release it falls with the release time. What fills
// the slow cell comes out of the fast one, so both together never pass the static curve. The last
// dB of an attack takes at least 8 ms, because the level rings for some ms after a sudden start. So the
// larger part releases at once and the rest lingers, longer after longer compression, and
// neither cell rises in silence.

import { smoothingCoefficient } from '../maths/time-constant.ts'

const SETTLE_SECONDS = 0.008
const SLOW_FILL_SECONDS = 0.15
const MEMORY_FILL_SECONDS = 1.5
const MEMORY_FADE_SECONDS = 4
const SHORT_RECOVERY = 0.1

/** Smoothing coefficients; the slow cell's release is in frames instead, because it varies. */
export interface OptoCellDesign {
  readonly attackA: number
  /** Of the attack's last part. */
  readonly settleA: number
  readonly releaseA: number
  readonly slowFillA: number
  readonly memoryFillA: number
  readonly memoryFadeA: number
  /** The slow cell's time constant without memory, and what a full memory adds. */
  readonly shortFrames: number
  readonly moreFrames: number
}

/** @param recoverySeconds the slow cell's longest time constant */
export function designOptoCells(
  attackSeconds: number,
  releaseSeconds: number,
  recoverySeconds: number,
  sampleRateHz: number,
): OptoCellDesign {
  return {
    attackA: smoothingCoefficient(attackSeconds, sampleRateHz),
    settleA: smoothingCoefficient(Math.max(attackSeconds, SETTLE_SECONDS), sampleRateHz),
    releaseA: smoothingCoefficient(releaseSeconds, sampleRateHz),
    slowFillA: smoothingCoefficient(SLOW_FILL_SECONDS, sampleRateHz),
    memoryFillA: smoothingCoefficient(MEMORY_FILL_SECONDS, sampleRateHz),
    memoryFadeA: smoothingCoefficient(MEMORY_FADE_SECONDS, sampleRateHz),
    shortFrames: SHORT_RECOVERY * recoverySeconds * sampleRateHz,
    moreFrames: (1 - SHORT_RECOVERY) * recoverySeconds * sampleRateHz,
  }
}
