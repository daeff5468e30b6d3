// Turns a breath down, and never takes it away: a breath that is missing is heard as a hole.

import type { Breath } from './breath-search.ts'
import type { Patch } from './patch.ts'

/** Where a breath is in its place: this far below the usual level of the voice. */
const UNDER_VOICE_DB = 30
/** It stays this far above the noise, so that the noise does not change with it. */
const OVER_FLOOR_DB = 6
const FADE_SECONDS = 0.03
/** Less is not heard. */
const LEAST_DB = 0.5

/**
 * @param mostDb as far as it may be turned down
 * @param levels usual level of the voice, and the noise floor
 * @returns null where the breath is in its place already
 */
export function breathPatch(
  breath: Breath,
  mostDb: number,
  levels: { readonly usualDbfs: number; readonly floorDbfs: number },
  sampleRateHz: number,
): Patch | null {
  const target = Math.max(levels.usualDbfs - UNDER_VOICE_DB, levels.floorDbfs + OVER_FLOOR_DB)
  const reductionDb = Math.min(mostDb, breath.levelDbfs - target)
  if (reductionDb < LEAST_DB) return null
  const fromFrame = Math.round(breath.fromS * sampleRateHz)
  const toFrame = Math.round(breath.toS * sampleRateHz)
  const count = toFrame - fromFrame
  const fade = Math.min(Math.round(FADE_SECONDS * sampleRateHz), count >> 1)
  return {
    ...{ kind: 'breaths', fromFrame, toFrame, reach: 0 },
    mend(samples) {
      for (let n = 0; n < count; n++) {
        const edge = Math.min(1, (n + 1) / (fade + 1), (count - n) / (fade + 1))
        const share = 0.5 - 0.5 * Math.cos(Math.PI * edge)
        samples[n] *= 10 ** ((-reductionDb * share) / 20)
      }
      return { outcome: 'mended', spans: [{ from: fromFrame, samples }], amount: reductionDb }
    },
  }
}
