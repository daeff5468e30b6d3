// Positions of labels along one axis, so that they do not overlap.

/** Pushes positions at least `spacing` apart, within `from` and `to`, and keeps their order. */
export function spreadOut(places: readonly number[], spacing: number, from: number, to: number): number[] {
  const order = places.map((_, index) => index).sort((a, b) => places[a] - places[b])
  const spread = [...places]
  let floor = from
  for (const index of order) {
    spread[index] = Math.max(spread[index], floor)
    floor = spread[index] + spacing
  }
  let ceiling = to
  for (const index of order.reverse()) {
    spread[index] = Math.min(spread[index], ceiling)
    ceiling = spread[index] - spacing
  }
  return spread
}
