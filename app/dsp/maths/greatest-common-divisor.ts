/** Of two whole numbers, at least one of them not 0 (Euclid, Elements VII). */
export const greatestCommonDivisor = (a: number, b: number): number =>
  b === 0 ? a : greatestCommonDivisor(b, a % b)
