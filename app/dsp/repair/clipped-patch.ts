// Mends clipped peaks: prediction across the runs at the limit, with each sample held to the limit or beyond
// it. Only true for samples that are themselves at the limit: what was filtered or coded after clipping is not.

import { dbFromGain } from '../maths/decibels.ts'
import type { ClippedRun } from '../meters/clipped-runs.ts'
import { interpolate, interpolationOrder } from './interpolate.ts'
import type { MendedSpan, Mending, Patch } from './patch.ts'

const CONTEXT_SECONDS = 0.02
/** Runs with less between them than this are one repair. */
const JOINED_SECONDS = 0.02
/** A repair is not longer than this, so that a take can be mended as it is read. */
const LONGEST_PATCH_SECONDS = 0.1
/** Longer runs are not predicted (that of a peak cut by 10 dB in a voice at 80 Hz is shorter). */
const LONGEST_RUN_SECONDS = 0.003
/** A peak that would rise by more is not known well enough; cut by 6 dB, speech rises by up to 7.5 dB (measured). */
const MOST_RISE_DB = 8
/** With more samples at the limit than this share of the surroundings, nothing says how high the peaks were. */
const MOST_CLIPPED = 0.6

/** Runs of one channel as patches, in order. */
export function clippedPatches(
  runs: readonly ClippedRun[],
  channel: number,
  sampleRateHz: number,
): { readonly patch: Patch; readonly runs: number }[] {
  const order = interpolationOrder(sampleRateHz)
  const reach = Math.ceil(CONTEXT_SECONDS * sampleRateHz) + order
  const groups: ClippedRun[][] = []
  for (const run of runs) {
    const group = groups.at(-1)
    const gap = group === undefined ? Infinity : run.fromFrame - group[group.length - 1].toFrame
    const isNear =
      gap < JOINED_SECONDS * sampleRateHz &&
      run.toFrame - group![0].fromFrame <= LONGEST_PATCH_SECONDS * sampleRateHz
    if (isNear) group!.push(run)
    else groups.push([run])
  }
  let first = 0
  return groups.map((group) => {
    const fromFrame = group[0].fromFrame
    const toFrame = group[group.length - 1].toFrame
    // Peaks of the neighbours within reach are unknown as well, but another patch writes them.
    while (first < runs.length && runs[first].toFrame <= fromFrame - reach) first++
    const near: ClippedRun[] = []
    for (let i = first; i < runs.length && runs[i].fromFrame < toFrame + reach; i++) near.push(runs[i])
    const mend = (samples: Float64Array, of: number): Mending =>
      of === channel
        ? mendRuns(samples, fromFrame - reach, group, near, order, sampleRateHz)
        : { outcome: 'fine' }
    return { patch: { kind: 'clipped', fromFrame, toFrame, reach, mend }, runs: group.length }
  })
}

/** @param start frame of the take at `samples[0]` */
function mendRuns(
  samples: Float64Array,
  start: number,
  own: readonly ClippedRun[],
  near: readonly ClippedRun[],
  order: number,
  sampleRateHz: number,
): Mending {
  if (own.some((run) => run.toFrame - run.fromFrame > LONGEST_RUN_SECONDS * sampleRateHz)) {
    return { outcome: 'refused', why: 'too-long' }
  }
  const unknown: number[] = []
  const bounds: number[] = []
  let clipped = 0
  for (const { fromFrame, toFrame } of near) {
    for (let n = fromFrame; n < toFrame; n++) {
      const i = n - start
      if (i < 0 || i >= samples.length) continue
      clipped++
      if (i < order || i >= samples.length - order) continue
      unknown.push(i)
      bounds.push(samples[i])
    }
  }
  if (clipped > MOST_CLIPPED * samples.length) return { outcome: 'refused', why: 'no-surroundings' }
  const mended = samples.slice()
  if (!interpolate(mended, Int32Array.from(unknown), order, Float64Array.from(bounds))) {
    return { outcome: 'refused', why: 'no-surroundings' }
  }
  let risen = 0
  const spans: MendedSpan[] = own.map(({ fromFrame, toFrame, level }) => {
    const peak = mended.slice(fromFrame - start, toFrame - start)
    for (const sample of peak) risen = Math.max(risen, Math.abs(sample / level))
    return { from: fromFrame, samples: peak }
  })
  const risenDb = dbFromGain(risen)
  return risenDb > MOST_RISE_DB
    ? { outcome: 'refused', why: 'too-deep' }
    : { outcome: 'mended', spans, amount: risenDb }
}
