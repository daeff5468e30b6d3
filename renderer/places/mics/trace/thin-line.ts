// Reduces a traced line to few enough points to edit by hand, without moving it by more than a
// given tolerance (Ramer-Douglas-Peucker algorithm).

import type { TracePlace } from './trace-axes.ts'

/** Smooths y with weights 1/4, 1/2, 1/4 where both neighbouring columns have a point. */
export function steadyLine(places: readonly TracePlace[]): TracePlace[] {
  return places.map((place, i) => {
    const before = places[i - 1]
    const after = places[i + 1]
    if (before === undefined || after === undefined) return place
    if (place.x - before.x > 1.5 || after.x - place.x > 1.5) return place
    return { x: place.x, y: 0.25 * before.y + 0.5 * place.y + 0.25 * after.y }
  })
}

/** @param tolerance in pixels, along the level axis */
export function thinLine(places: readonly TracePlace[], tolerance: number): TracePlace[] {
  if (places.length < 3) return [...places]
  const keeps = new Uint8Array(places.length)
  keeps[0] = 1
  keeps[places.length - 1] = 1
  const open: (readonly [number, number])[] = [[0, places.length - 1]]
  for (let span = open.pop(); span !== undefined; span = open.pop()) {
    const [from, to] = span
    const a = places[from]!
    const b = places[to]!
    let farthest = tolerance
    let at = -1
    for (let i = from + 1; i < to; i++) {
      const { x, y } = places[i]!
      const away = Math.abs(y - (a.y + ((b.y - a.y) * (x - a.x)) / (b.x - a.x)))
      if (away > farthest) {
        farthest = away
        at = i
      }
    }
    if (at < 0) continue
    keeps[at] = 1
    open.push([from, at], [at, to])
  }
  return places.filter((_, i) => keeps[i] === 1)
}
