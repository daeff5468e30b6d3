// Least and greatest of any stretch of rows without a look at each: every level has a quarter of the values of the one
// below it, so all together are a third more than the rows.

const FAN = 4

/** Extremes of rows, level by level; the first has the rows themselves. */
export interface Pyramid {
  readonly least: readonly Float32Array[]
  readonly most: readonly Float32Array[]
}

/** @param least, most of each row */
export function pyramidOf(least: Float32Array, most: Float32Array): Pyramid {
  const leasts = [least]
  const mosts = [most]
  for (let length = most.length; length > FAN; length = Math.ceil(length / FAN)) {
    leasts.push(reduced(leasts[leasts.length - 1], Math.min))
    mosts.push(reduced(mosts[mosts.length - 1], Math.max))
  }
  return { least: leasts, most: mosts }
}

function reduced(values: Float32Array, choose: (a: number, b: number) => number): Float32Array {
  const next = new Float32Array(Math.ceil(values.length / FAN))
  for (let k = 0; k < next.length; k++) {
    let chosen = values[FAN * k]
    for (let i = FAN * k + 1; i < Math.min(values.length, FAN * (k + 1)); i++)
      chosen = choose(chosen, values[i])
    next[k] = chosen
  }
  return next
}

/** Greatest of rows `fromRow` up to `toRow` (excluded), within the rows; -Infinity for none. */
export const mostIn = (pyramid: Pyramid, fromRow: number, toRow: number): number =>
  chosenIn(pyramid.most, fromRow, toRow, Math.max, Number.NEGATIVE_INFINITY)

/** Least of rows `fromRow` up to `toRow` (excluded), within the rows; Infinity for none. */
export const leastIn = (pyramid: Pyramid, fromRow: number, toRow: number): number =>
  chosenIn(pyramid.least, fromRow, toRow, Math.min, Number.POSITIVE_INFINITY)

/** From both ends up, level by level: at most three values a side and level. */
function chosenIn(
  levels: readonly Float32Array[],
  fromRow: number,
  toRow: number,
  choose: (a: number, b: number) => number,
  nothing: number,
): number {
  let from = Math.max(0, fromRow)
  let to = Math.min(levels[0].length, toRow)
  let chosen = nothing
  for (const [level, values] of levels.entries()) {
    const isTop = level === levels.length - 1
    while (from < to && (isTop || from % FAN !== 0)) chosen = choose(chosen, values[from++])
    while (from < to && to % FAN !== 0) chosen = choose(chosen, values[--to])
    from = Math.floor(from / FAN)
    to = Math.floor(to / FAN)
    if (from >= to) return chosen
  }
  return chosen
}
