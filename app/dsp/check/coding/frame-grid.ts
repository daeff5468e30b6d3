// Whether coefficients of equal magnitude pile up where frames begin at one offset and at no other. The other
// offsets of the same sound are the reference, so that nothing has to be known about the sound.

/** What stands out at one offset. */
export interface GridPeak {
  /** How far its count is above the others', in standard deviations. */
  readonly deviations: number
  /** Its count as a multiple of the mean of the others. */
  readonly ratio: number
}

/** Offsets next to the one that is judged are no reference, because neighbouring frames share their sound. */
const APART = 2

export function greatestAt(counts: Float64Array): number {
  let offset = 0
  for (let o = 1; o < counts.length; o++) if (counts[o] > counts[offset]) offset = o
  return offset
}

/** @param counts of pairs of equal magnitude, by offset; more than six offsets */
export function gridPeak(counts: Float64Array, offset: number): GridPeak {
  // The root of a count that obeys Poisson's law has a standard deviation of 1/2, whatever its mean.
  let sum = 0
  let roots = 0
  let others = 0
  for (let o = 0; o < counts.length; o++) {
    if (isNear(o, offset, counts.length, APART)) continue
    sum += counts[o]
    roots += Math.sqrt(counts[o])
    others++
  }
  const mean = roots / others
  const deviation = Math.max(0.5, Math.sqrt(sum / others - mean * mean))
  return {
    deviations: (Math.sqrt(counts[offset]) - mean) / deviation,
    ratio: sum > 0 ? counts[offset] / (sum / others) : 0,
  }
}

/** Near the peak, coded sound is alike too. */
const PEAK_REACH = 16
/** Independent sounds stay below it, at 128 offsets as well. */
const ALIKE_CORRELATION = 0.35

/**
 * Whether counts go up and down together beside a peak at `offset`. Then both are of one sound that repeats, for example
 * a phrase that was copied, and what agrees by chance agrees twice.
 */
export function areAlike(counts: Float64Array, otherCounts: Float64Array, offset: number): boolean {
  const [mean, other] = [meanBeside(counts, offset), meanBeside(otherCounts, offset)]
  let product = 0
  let square = 0
  let otherSquare = 0
  for (let o = 0; o < counts.length; o++) {
    if (isNear(o, offset, counts.length, PEAK_REACH)) continue
    const [a, b] = [counts[o] - mean, otherCounts[o] - other]
    product += a * b
    square += a * a
    otherSquare += b * b
  }
  return product > ALIKE_CORRELATION * Math.sqrt(square * otherSquare)
}

function meanBeside(counts: Float64Array, offset: number): number {
  let sum = 0
  let others = 0
  for (let o = 0; o < counts.length; o++) {
    if (isNear(o, offset, counts.length, PEAK_REACH)) continue
    sum += counts[o]
    others++
  }
  return sum / others
}

function isNear(o: number, offset: number, offsets: number, reach: number): boolean {
  const distance = Math.abs(o - offset)
  return Math.min(distance, offsets - distance) <= reach
}
