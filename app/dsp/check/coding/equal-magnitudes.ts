// Coefficients that a coder has quantised take few values, so that several in a narrow band have nearly the same
// magnitude, or none; those of recorded sound agree only by chance.

/** Coefficients that are compared with one another; coders use one step for about as many. */
export const BAND_LINES = 16
/** Share of the mean magnitude within which two magnitudes count as equal. */
const TOLERANCE = 0.003

/** Pairs of coefficients of equal magnitude within each band of 16. */
export function equalMagnitudes(coefficients: Float64Array, bands: number): number {
  let pairs = 0
  for (let first = 0; first < bands * BAND_LINES; first += BAND_LINES) {
    let sum = 0
    for (let i = first; i < first + BAND_LINES; i++) sum += Math.abs(coefficients[i])
    const limit = (TOLERANCE * sum) / BAND_LINES
    for (let i = first; i < first + BAND_LINES; i++) {
      const one = Math.abs(coefficients[i])
      for (let j = first; j < i; j++) {
        if (Math.abs(one - Math.abs(coefficients[j])) < limit) pairs++
      }
    }
  }
  return pairs
}
