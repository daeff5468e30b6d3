// Fills a short gap, or says that it cannot: prediction from both sides up to 3 ms, and copied periods for a
// longer gap in a voiced sound.

import { copyPeriods, copyReach } from './copy-periods.ts'
import { interpolate, interpolationOrder } from './interpolate.ts'

/** From here on a copied period comes closer than prediction, whose error grows with the gap. */
const COPIED_FROM_SECONDS = 0.00075
const PREDICTED_SECONDS = 0.003
const COPIED_SECONDS = 0.008
/** What the predictor is fitted to on each side. */
const CONTEXT_SECONDS = 0.02

/** How much of the take on both sides of a gap of `gapFrames` fillGap reads. */
export const gapReach = (gapFrames: number, sampleRateHz: number): number =>
  Math.max(copyReach(gapFrames, sampleRateHz), Math.ceil(CONTEXT_SECONDS * sampleRateHz))

/**
 * Fills [from, to) of `samples` in place.
 * @param samples the take around the gap, gapReach on both sides, full scale = 1
 * @param alsoUnknown indices of other samples that must not be relied on, in order
 * @returns false where it is left as it was, because nothing around it says what it was
 */
export function fillGap(
  samples: Float64Array,
  from: number,
  to: number,
  sampleRateHz: number,
  alsoUnknown: readonly number[] = [],
): boolean {
  const seconds = (to - from) / sampleRateHz
  if (seconds > COPIED_SECONDS) return false
  if (seconds >= COPIED_FROM_SECONDS) {
    const copied = copyPeriods(samples, from, to, sampleRateHz)
    if (copied !== null) {
      samples.set(copied, from)
      return true
    }
  }
  if (seconds > PREDICTED_SECONDS) return false
  const context = Math.ceil(CONTEXT_SECONDS * sampleRateHz)
  const start = from - context
  const window = samples.slice(start, to + context)
  const order = interpolationOrder(sampleRateHz)
  const unknown = new Set<number>()
  for (let n = from; n < to; n++) unknown.add(n - start)
  for (const n of alsoUnknown) {
    if (n - start >= order && n - start < window.length - order) unknown.add(n - start)
  }
  if (!interpolate(window, Int32Array.from(unknown).sort(), order)) return false
  samples.set(window.subarray(from - start, to - start), from)
  return true
}
