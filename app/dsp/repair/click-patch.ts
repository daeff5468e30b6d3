// Mends a click: finds how far it extends by prediction from both sides, fills the gap, and looks whether
// the click is gone.

import { createLinearPredictor } from '../check/linear-prediction.ts'
import { dbFromGain } from '../maths/decibels.ts'
import { fillGap, gapReach } from './fill-gap.ts'
import type { Mending, Patch } from './patch.ts'

const ORDER_AT_48K = 24
/** The click is searched this far on both sides of where the detector heard it. */
const SEARCHED_SECONDS = 0.003
const NEIGHBOUR_SECONDS = 0.02
/** What belongs to a click stands out from the usual residual this much, and from the greatest one nearby. */
const OVER_USUAL = 8
const OVER_GREATEST = 0.75
/** Samples of the click may be this far apart. */
const JOINED_SECONDS = 0.0005
/** How much longer the gap is tried to be, and how often, while the click is still heard behind it. */
const LONGER_SECONDS = 0.0005
const LONGER_TRIES = 4
/** A residual this much over the greatest one nearby is a click, as in the detector. */
const HEARD_RATIO = 3.5
const DEVIATION_OF_MEDIAN = 1.4826

/** @param atSeconds where the detector heard it */
export function clickPatch(atSeconds: number, sampleRateHz: number): Patch {
  const at = Math.round(atSeconds * sampleRateHz)
  const searched = Math.round(SEARCHED_SECONDS * sampleRateHz)
  const reach = gapReach(2 * searched, sampleRateHz) + searched
  return {
    kind: 'clicks',
    fromFrame: at - searched,
    toFrame: at + searched,
    reach,
    mend: (samples) => mendClick(samples, reach + searched, at, sampleRateHz),
  }
}

/** @param middle index in `samples` of frame `at` */
function mendClick(samples: Float64Array, middle: number, at: number, sampleRateHz: number): Mending {
  const click = extentOf(samples, middle, sampleRateHz)
  if (click === null) return { outcome: 'fine' }
  const { from } = click
  const longer = Math.round(LONGER_SECONDS * sampleRateHz)
  // A click that rings on is quieter at its end than what it is told apart by.
  const last = Math.min(
    middle + Math.round(SEARCHED_SECONDS * sampleRateHz),
    click.to + LONGER_TRIES * longer,
  )
  for (let to = click.to; to <= last; to += longer) {
    const mended = samples.slice()
    if (!fillGap(mended, from, to, sampleRateHz)) return { outcome: 'refused', why: 'too-long' }
    if (standsOut(mended, from, to, sampleRateHz)) continue
    let most = 0
    for (let n = from; n < to; n++) most = Math.max(most, Math.abs(samples[n] - mended[n]))
    if (most === 0) return { outcome: 'fine' }
    const spans = [{ from: at + from - middle, samples: mended.slice(from, to) }]
    return { outcome: 'mended', spans, amount: dbFromGain(most) }
  }
  return { outcome: 'refused', why: 'still-heard' }
}

/** First and last sample of the click; null where nothing stands out in this channel. */
function extentOf(
  samples: Float64Array,
  middle: number,
  sampleRateHz: number,
): { from: number; to: number } | null {
  const searched = Math.round(SEARCHED_SECONDS * sampleRateHz)
  const forward = residualAround(samples, middle, sampleRateHz)
  const backward = residualAround(samples.slice().reverse(), samples.length - 1 - middle, sampleRateHz)
  if (forward === null || backward === null) return null
  if (forward.most < HEARD_RATIO * forward.greatest && backward.most < HEARD_RATIO * backward.greatest)
    return null
  const joined = Math.round(JOINED_SECONDS * sampleRateHz)
  // Behind the click its memory disturbs the prediction, so each end is read by the one that comes from outside.
  const before = extentBefore(forward, searched, joined)
  const behind = extentBefore(backward, searched, joined)
  const from = middle - before
  const to = middle + behind + 1
  return to > from ? { from, to } : { from: middle, to: middle + 1 }
}

interface Residual {
  /** Magnitudes from `searched` samples before the middle to as many behind it. */
  readonly sizes: Float64Array
  /** The greatest of them, and the greatest and the usual one nearby. */
  readonly most: number
  readonly greatest: number
  readonly usual: number
}

/** Prediction by a model fitted without the click. */
function residualAround(samples: Float64Array, middle: number, sampleRateHz: number): Residual | null {
  const order = Math.round(Math.max(12, Math.min(32, (ORDER_AT_48K * sampleRateHz) / 48000)))
  const searched = Math.round(SEARCHED_SECONDS * sampleRateHz)
  const nearby = Math.round(NEIGHBOUR_SECONDS * sampleRateHz)
  const start = middle - searched - nearby
  const length = 2 * (searched + nearby)
  const predictor = createLinearPredictor(order, length)
  const clean = samples.slice()
  const half = searched >> 1
  fillGap(clean, middle - half, middle + half, sampleRateHz)
  if (predictor.fit(clean, start) === 0) return null
  const whole = new Float64Array(length)
  predictor.residual(samples, start, length, whole)
  const sizes = whole.map(Math.abs)
  const own = sizes.slice(nearby, nearby + 2 * searched + 1)
  const before = sizes.slice(0, nearby)
  const behind = sizes.slice(nearby + 2 * searched)
  const around = Float64Array.from([...before, ...behind]).sort()
  return {
    sizes: own,
    most: own.reduce((most, size) => Math.max(most, size), 0),
    greatest: around[around.length - 1],
    usual: DEVIATION_OF_MEDIAN * around[around.length >> 1],
  }
}

/** How many samples before the middle the click begins; negative where it begins behind the middle. */
function extentBefore({ sizes, usual, greatest }: Residual, middle: number, joined: number): number {
  const limit = Math.max(OVER_USUAL * usual, OVER_GREATEST * greatest)
  let first = -1
  let quiet = 0
  for (let n = middle; n >= 0 && quiet <= joined; n--) {
    if (sizes[n] > limit) {
      first = n
      quiet = 0
    } else quiet++
  }
  for (let n = middle; first < 0 && n <= middle + joined; n++) if (sizes[n] > limit) first = n
  return first < 0 ? 0 : middle - first
}

/** Whether the gap or its edges still sound like a click. */
function standsOut(mended: Float64Array, from: number, to: number, sampleRateHz: number): boolean {
  const order = Math.round(Math.max(12, Math.min(32, (ORDER_AT_48K * sampleRateHz) / 48000)))
  const nearby = Math.round(NEIGHBOUR_SECONDS * sampleRateHz)
  const start = from - nearby
  const length = to - from + 2 * nearby
  const predictor = createLinearPredictor(order, length)
  if (predictor.fit(mended, start) === 0) return false
  const residual = new Float64Array(length)
  predictor.residual(mended, start, length, residual)
  const edge = Math.round(JOINED_SECONDS * sampleRateHz)
  let inside = 0
  let outside = 0
  for (let n = 0; n < length; n++) {
    const size = Math.abs(residual[n])
    if (n >= nearby - edge && n < nearby + to - from + edge) inside = Math.max(inside, size)
    else outside = Math.max(outside, size)
  }
  return inside > HEARD_RATIO * outside
}
