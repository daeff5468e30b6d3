// Whether coefficients of equal magnitude pile up where frames begin at one offset and at no other. The other
// offsets of the same sound are the reference, so that nothing has to be known about the sound.

/** What stands out at one offset. */
export interface GridPeak {
  /** First sample of a frame, modulo the number of offsets. */
  readonly offset: number
  /** How far its count is above the others', in standard deviations. */
  readonly deviations: number
  /** Its count as a multiple of the mean of the others. */
  readonly ratio: number
}

/** Offsets next to the one that is judged are no reference, because neighbouring frames share their sound. */
const APART = 2

export function gridPeak(counts: Float64Array): GridPeak {
  let offset = 0
  for (let o = 1; o < counts.length; o++) if (counts[o] > counts[offset]) offset = o
  return gridPeakAt(counts, offset)
}

/** @param counts of pairs of equal magnitude, by offset; more than six offsets */
export function gridPeakAt(counts: Float64Array, offset: number): GridPeak {
  // The root of a count that obeys Poisson's law has a standard deviation of 1/2, whatever its mean.
  let sum = 0
  let roots = 0
  let others = 0
  for (let o = 0; o < counts.length; o++) {
    const distance = Math.abs(o - offset)
    if (Math.min(distance, counts.length - distance) <= APART) continue
    sum += counts[o]
    roots += Math.sqrt(counts[o])
    others++
  }
  const mean = roots / others
  const deviation = Math.max(0.5, Math.sqrt(sum / others - mean * mean))
  return {
    offset,
    deviations: (Math.sqrt(counts[offset]) - mean) / deviation,
    ratio: sum > 0 ? counts[offset] / (sum / others) : 0,
  }
}
