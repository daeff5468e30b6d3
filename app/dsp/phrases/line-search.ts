// Where a line is in another take: dynamic time warping of its frames against all frames of the take, with free ends.
// Steps (1,1), (1,2) and (2,1), so that a line may be at most twice as fast or as slow.
// Source: subsequence DTW as in Müller, "Information Retrieval for Music and Motion", 2007, chapter 4; Zhang and Glass,
// ASRU 2009 (both from memory).

import { CEPSTRA } from './cepstra.ts'

/** A place where a line may be. Frames of the take, `to` excluded; mean distance per frame of the line. */
export interface LinePlace {
  readonly from: number
  readonly to: number
  readonly cost: number
}

/** Frames of CEPSTRA values each. */
export interface Frames {
  readonly values: Float64Array
  readonly count: number
}

/** Places that overlap by more than this share of the shorter one are one place. */
const SAME_PLACE = 0.3

export const framesOf = (values: Float64Array): Frames => ({ values, count: values.length / CEPSTRA })

export const partOf = ({ values }: Frames, from: number, to: number): Frames =>
  framesOf(values.subarray(from * CEPSTRA, to * CEPSTRA))

/** Root mean square distance of two frames. */
function distance(a: Float64Array, at: number, b: Float64Array, bt: number): number {
  let sum = 0
  for (let c = 0; c < CEPSTRA; c++) {
    const d = a[at + c] - b[bt + c]
    sum += d * d
  }
  return Math.sqrt(sum / CEPSTRA)
}

/** The best places of a line in a take that do not overlap, best first. @param most how many */
export function placesOf(line: Frames, take: Frames, most: number): LinePlace[] {
  const { costs, starts } = lastRow(line, take)
  const ends = Array.from(costs.keys())
    .filter((j) => Number.isFinite(costs[j]))
    .sort((a, b) => costs[a] - costs[b])
  const places: LinePlace[] = []
  for (const j of ends) {
    const place = { from: starts[j], to: j + 1, cost: costs[j] / line.count }
    if (places.some((other) => overlapShare(place, other) > SAME_PLACE)) continue
    places.push(place)
    if (places.length === most) break
  }
  return places
}

function overlapShare(
  a: { readonly from: number; readonly to: number },
  b: { readonly from: number; readonly to: number },
): number {
  const shared = Math.min(a.to, b.to) - Math.max(a.from, b.from)
  return shared / Math.max(1e-9, Math.min(a.to - a.from, b.to - b.from))
}

/** Sum of distances of the best path that ends at each frame of the take, and where it starts. */
function lastRow(line: Frames, take: Frames): { costs: Float64Array; starts: Int32Array } {
  const m = take.count
  const rows = [0, 1, 2].map(() => ({
    costs: new Float64Array(m),
    starts: new Int32Array(m),
    steps: new Float64Array(m),
  }))
  let [before2, before, now] = rows
  for (let i = 0; i < line.count; i++) {
    const at = i * CEPSTRA
    for (let j = 0; j < m; j++) {
      const step = distance(line.values, at, take.values, j * CEPSTRA)
      now.steps[j] = step
      let best = Number.POSITIVE_INFINITY
      let start = j
      if (i === 0) best = 0
      else {
        if (j >= 1 && before.costs[j - 1] < best) {
          best = before.costs[j - 1]
          start = before.starts[j - 1]
        }
        if (j >= 2 && before.costs[j - 2] < best) {
          best = before.costs[j - 2]
          start = before.starts[j - 2]
        }
        if (i >= 2 && j >= 1 && before2.costs[j - 1] + before.steps[j] < best) {
          best = before2.costs[j - 1] + before.steps[j]
          start = before2.starts[j - 1]
        }
      }
      now.costs[j] = best + step
      now.starts[j] = start
    }
    ;[before2, before, now] = [before, now, before2]
  }
  return before
}

/**
 * The path of a line through a place: for each frame of the line, the frame of the take, with fractions where the line
 * was passed over; and the distance there.
 */
export function pathThrough(
  line: Frames,
  take: Frames,
  { from, to }: LinePlace,
): { at: Float64Array; distances: Float64Array } {
  const n = line.count
  const m = to - from
  const costs = new Float64Array(n * m).fill(Number.POSITIVE_INFINITY)
  const steps = new Float64Array(n * m)
  const moves = new Uint8Array(n * m)
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < m; j++) {
      const cell = i * m + j
      const step = distance(line.values, i * CEPSTRA, take.values, (from + j) * CEPSTRA)
      steps[cell] = step
      if (i === 0) {
        if (j === 0) costs[cell] = step
        continue
      }
      let best = Number.POSITIVE_INFINITY
      let move = 0
      if (j >= 1 && costs[cell - m - 1] < best) {
        best = costs[cell - m - 1]
        move = 1
      }
      if (j >= 2 && costs[cell - m - 2] < best) {
        best = costs[cell - m - 2]
        move = 2
      }
      if (i >= 2 && j >= 1 && costs[cell - 2 * m - 1] + steps[cell - m] < best) {
        best = costs[cell - 2 * m - 1] + steps[cell - m]
        move = 3
      }
      costs[cell] = best + step
      moves[cell] = move
    }
  }
  const at = new Float64Array(n)
  const distances = new Float64Array(n)
  for (let i = n - 1, j = m - 1; i >= 0; ) {
    at[i] = from + j
    distances[i] = steps[i * m + j]
    const move = moves[i * m + j]
    if (move === 3) {
      at[i - 1] = from + j - 0.5
      distances[i - 1] = steps[(i - 1) * m + j]
      i -= 2
      j -= 1
    } else {
      i -= 1
      j -= move
    }
  }
  return { at, distances }
}
