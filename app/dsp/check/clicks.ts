// Finds clicks: discontinuities within 3 ms that no voice produces. A corner of the waveform (a large
// second difference) that stands out from its neighbourhood is a candidate; it is a click if the residual
// of linear prediction, which removes the voice, stands out as well. Second difference and adaptive median:
// Lee, Jeon and Kim (abstract). A glottal closure has similar ones on both sides, so it does not stand out.

import type { Span } from '../maths/span.ts'
import { createLinearPredictor } from './linear-prediction.ts'

/** How much of the take on either side of a suspect the search needs. */
export const CLICK_REACH_SECONDS = 0.05

interface ClickSearch {
  /** Adds a finished segment of about 1 ms by its greatest second difference. */
  segment(corner: number): void
  /**
   * Examines the suspects whose surroundings are available by now.
   * @param samples the take from frame `startFrame` on, to `endFrame`
   */
  examine(samples: Float64Array, startFrame: number, endFrame: number): void
  /** In order of time. */
  clicks(): readonly Span[]
}

/** A corner is compared with those of this many segments on both sides, except the suspect's own. */
const COMPARED_SEGMENTS = 25
const OWN_SEGMENTS = 3
/** A first, cheap test; most candidates that pass it are glottal closures of low voices. */
const CORNER_RATIO = 1.6
/** Smaller corners are ignored, because rounding to 16 bits can cause them. */
const MIN_CORNER = 4 * 2 ** -15
const ORDER_AT_48K = 24
const WINDOW_SECONDS = 0.05
const NEIGHBOUR_SECONDS = 0.02
/** A click is not longer than this. */
const MAX_SECONDS = 0.003
const NEIGHBOUR_RATIO = 3.5
/** The release of a /t/ or /d/ takes longer than a click. */
const SHARP_SECONDS = 0.0001
const SHARP_SHARE = 0.5
const DEVIATIONS = 10
/** A stop's burst looks like a click, but breath or voice follows, louder by this than the sound before. */
const BURST_RATIO = 3
/** Median absolute deviation to standard deviation of a normal distribution. */
const DEVIATION_OF_MEDIAN = 1.4826
const MAX_KEPT = 1000

/** @param segmentFrames frames of the level track's segments, about 1 ms */
export function createClickSearch(sampleRateHz: number, segmentFrames: number): ClickSearch {
  const order = Math.round(Math.max(12, Math.min(32, (ORDER_AT_48K * sampleRateHz) / 48000)))
  const windowFrames = Math.round(WINDOW_SECONDS * sampleRateHz)
  const predictor = createLinearPredictor(order, windowFrames)
  const reach = Math.round(NEIGHBOUR_SECONDS * sampleRateHz)
  const halfClick = Math.round((MAX_SECONDS * sampleRateHz) / 2)
  const sharpFrames = Math.round(SHARP_SECONDS * sampleRateHz)
  const residual = new Float64Array(windowFrames)
  const sizes = new Float64Array(windowFrames)
  const sorted = new Float64Array(windowFrames)
  const corners = new Float64Array(2 * COMPARED_SEGMENTS + 1)
  const suspects: number[] = []
  const found: Span[] = []
  let segments = 0

  function suspect(): void {
    const middle = segments - 1 - COMPARED_SEGMENTS
    const corner = corners[middle % corners.length]
    if (corner < MIN_CORNER) return
    let around = 0
    for (let i = 0; i < corners.length; i++) {
      const distance = Math.abs(i - COMPARED_SEGMENTS)
      const value = corners[(segments + i) % corners.length]
      // If a click spans several segments, only the one with the sharpest corner is a suspect.
      if (distance < OWN_SEGMENTS) {
        if (value > corner) return
      } else if (value > around) around = value
    }
    if (corner >= CORNER_RATIO * around) suspects.push(middle)
  }

  function judge(samples: Float64Array, centre: number, segmentStart: number): number {
    const from = centre - (windowFrames >> 1)
    if (predictor.fit(samples, from) === 0) return -1
    predictor.residual(samples, from, windowFrames, residual)
    let at = -1
    let most = 0
    for (let n = segmentStart - from; n < segmentStart - from + segmentFrames + 2; n++) {
      const size = Math.abs(residual[n])
      if (size <= most) continue
      most = size
      at = n
    }
    let around = 0
    for (let n = Math.max(0, at - reach); n < Math.min(windowFrames, at + reach); n++) {
      if (Math.abs(n - at) > halfClick) around = Math.max(around, Math.abs(residual[n]))
    }
    if (most < NEIGHBOUR_RATIO * around) return -1
    for (let n = 0; n < windowFrames; n++) sizes[n] = Math.abs(residual[n])
    const before = medianOf(sizes, at - reach, at - halfClick)
    const after = medianOf(sizes, at + halfClick, at + reach)
    if (after > BURST_RATIO * before || shareAtPeak(at) < SHARP_SHARE) return -1
    return most >= DEVIATIONS * DEVIATION_OF_MEDIAN * Math.min(before, after) ? from + at : -1
  }

  /** Share of the click's energy that is within a tenth of a millisecond of its peak. */
  function shareAtPeak(at: number): number {
    let whole = 0
    let peak = 0
    for (let n = Math.max(0, at - halfClick); n < Math.min(windowFrames, at + halfClick); n++) {
      const square = residual[n] * residual[n]
      whole += square
      if (Math.abs(n - at) <= sharpFrames) peak += square
    }
    return peak / whole
  }

  function medianOf(values: Float64Array, from: number, to: number): number {
    const first = Math.max(0, from)
    const count = Math.min(windowFrames, to) - first
    for (let n = 0; n < count; n++) sorted[n] = values[first + n]
    return sorted.subarray(0, count).sort()[count >> 1]
  }

  return {
    segment(corner) {
      corners[segments++ % corners.length] = corner
      if (segments > 2 * COMPARED_SEGMENTS) suspect()
    },
    examine(samples, startFrame, endFrame) {
      const margin = Math.ceil(CLICK_REACH_SECONDS * sampleRateHz)
      while (suspects.length > 0) {
        const segmentStart = suspects[0] * segmentFrames - startFrame
        if (segmentStart + margin > endFrame - startFrame) return
        suspects.shift()
        if (segmentStart < margin || found.length >= MAX_KEPT) continue
        const at = judge(samples, segmentStart + (segmentFrames >> 1), segmentStart)
        if (at < 0) continue
        const fromS = (startFrame + at) / sampleRateHz
        found.push({ fromS, toS: fromS + MAX_SECONDS / 3 })
      }
    },
    clicks: () => found,
  }
}
